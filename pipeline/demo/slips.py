"""Slips of the pen, a few of each kind, so that State of the record has something to say.

They are rows of their own beside the true ones: what the true rows say stays known. A reason is
what the reader has to give for the row.
"""

from dataclasses import dataclass, replace

from pipeline.demo.layouts import SET_LABELS, day_borders
from pipeline.demo.sheet import KEPT, REPEATED, Row, Sheet

WHEEL = "Odd wheel thing"


@dataclass(frozen=True)
class ExtraSet:
    """A set that a slip adds to the record: whole load in kg, and whether it is to be doubted."""

    exercise: str
    load_kg: float
    reps: int
    is_doubted: bool = False


def spoil_wide(sheet: Sheet) -> list[ExtraSet]:
    """A 31 Sep, a cell in an unknown unit, and a column for something nobody knows."""
    width = len(sheet.labels)
    first, second = (sheet.labels.index(label) for label in sheet.labels[1:3])
    slips = [
        _cells(width, {0: "31 Sep", first: "3x8@60", second: "2x10@40"}, "impossible date"),
        _cells(width, {0: sheet.rows[30].cells[0], second: "3x8@9 stone"}, "sets not understood"),
    ]
    _insert(sheet, slips)
    _add_column(sheet, WHEEL, {12: "3x10@20", 20: "2x12@20"})
    return [ExtraSet(WHEEL, 20.0, 10)] * 3 + [ExtraSet(WHEEL, 20.0, 12)] * 2


def spoil_european(sheet: Sheet) -> None:
    """A 30 February, a weight below zero, an unknown unit, and three rows pasted twice."""
    name = "Bankdrücken"  # on body-weight lifts a load below zero is help
    slips = [
        Row(("30.02.2019", name, "1", "80", "8", "", ""), "impossible date"),
        Row((sheet.rows[0].cells[0], name, "7", "-60", "8", "", ""), "negative weight"),
        Row((sheet.rows[0].cells[0], name, "8", "9 stone", "8", "", ""), "unknown unit"),
    ]
    _insert(sheet, slips)
    _repeat_rows(sheet, 3)


def spoil_exercises(sheet: Sheet) -> None:
    """A remark among the sets, a row without its exercise, and one without its sets."""
    day, name = sheet.rows[0].cells[0], sheet.rows[0].cells[1]
    slips = [
        Row((day, name, "3x8@60 felt like 70", "", ""), "sets not understood"),
        Row((day, "", "3x8@60", "2", ""), "no exercise"),
        Row((day, name, "", "2", "forgot to write them"), "no sets"),
    ]
    _insert(sheet, slips)


def spoil_sets(sheet: Sheet) -> list[ExtraSet]:
    """A month 13, a weight below zero, a nought too many, and something nobody knows."""
    day, name = sheet.rows[0].cells[0], "Bench press"
    slips = [
        _set_row("2025-13-04", name, "1", "80", "8", "impossible date"),
        _set_row(day, name, "8", "-60", "8", "negative weight"),
        _set_row(day, name, "9", "960", "8", "weight out of range"),
        _set_row(day, name, "10", "450", "5", KEPT),
        _set_row(day, WHEEL, "1", "20", "10", KEPT),
    ]
    _insert(sheet, slips)
    return [ExtraSet("bench_press", 450.0, 5, is_doubted=True), ExtraSet(WHEEL, 20.0, 10)]


def spoil_nights(sheet: Sheet) -> None:
    """A heart rate of 0 and a night of 25 hours, on lines of their own."""
    day, device = sheet.rows[0].cells[0], sheet.rows[0].cells[-1]
    slips = [
        Row((day, "", "0", "", "", "", device), "value outside its limits"),
        Row((day, "25:10", "", "", "", "", device), "value outside its limits"),
    ]
    _insert(sheet, slips)


def paste_again(earlier: Sheet, later: Sheet, n_days: int) -> None:
    """Put the last days of one sheet on top of the next one, as when a block is copied over."""
    days = list(dict.fromkeys(row.cells[0] for row in earlier.rows))[-n_days:]
    block = [replace(row, fate=REPEATED) for row in earlier.rows if row.cells[0] in days]
    later.rows[:0] = block


def misspell_load(sheet: Sheet, name: str) -> tuple[int, str, str]:
    """Write one working set ten times too heavy; gives its place, the text there and that meant."""
    column, warmup = SET_LABELS.index("Load kg"), SET_LABELS.index("Warm-up")
    place = next(
        at
        for at, row in enumerate(sheet.rows)
        if row.cells[1] == name and row.fate == KEPT and not row.cells[warmup]
    )
    row = sheet.rows[place]
    meant = row.cells[column]
    written = meant.replace(".", "") + "0"
    cells = (*row.cells[:column], written, *row.cells[column + 1 :])
    sheet.rows[place] = replace(row, cells=cells)
    return place, written, meant


def _cells(width: int, filled: dict[int, str], fate: str) -> Row:
    return Row(tuple(filled.get(place, "") for place in range(width)), fate)


def _set_row(day: str, name: str, set_no: str, load: str, reps: str, fate: str) -> Row:
    cells = (day, name, set_no, load, reps, *("",) * (len(SET_LABELS) - 5))
    return Row(cells, fate)


def _insert(sheet: Sheet, slips: list[Row]) -> None:
    """Spread the slips over the sheet, between days, so that no set is torn from its drops."""
    borders = day_borders(sheet)
    for number, slip in reversed(list(enumerate(slips, 1))):
        sheet.rows.insert(borders[number * len(borders) // (len(slips) + 1)], slip)


def _repeat_rows(sheet: Sheet, n: int) -> None:
    """Paste the first rows of an exercise done without drops once more below them."""
    drop = sheet.labels.index("Drop")
    for place in range(len(sheet.rows) - n):
        block = sheet.rows[place : place + n]
        is_one = len({row.cells[:2] for row in block}) == 1 and block[0].cells[2] == "1"
        if is_one and all(row.fate == KEPT and not row.cells[drop] for row in block):
            sheet.rows[place + n : place + n] = [replace(row, fate=REPEATED) for row in block]
            return
    raise ValueError(f"no exercise with {n} sets without drops in {sheet.path}")


def _add_column(sheet: Sheet, label: str, cells: dict[int, str]) -> None:
    """One more column before the last one."""
    sheet.labels = (*sheet.labels[:-1], label, sheet.labels[-1])
    sheet.rows = [
        replace(row, cells=(*row.cells[:-1], cells.get(place, ""), row.cells[-1]))
        for place, row in enumerate(sheet.rows)
    ]
    sheet.measured = tuple(range(1, len(sheet.labels) - 1))
