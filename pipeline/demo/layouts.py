"""Four layouts in which an invented lifter keeps training over the years.

1. a file a year, a row a day, a column an exercise, sets in shorthand; names drift and are misspelt
2. one European file: semicolons, decimal commas, day first, pounds and later kilograms, a row a set
3. a row an exercise with shorthand and, from then on, the reserve
4. a file a year, a row a set in kilograms, with reserve, failure, warm-ups, drops, bench angle
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import groupby, pairwise

from pipeline.core.calendar import MONTHS
from pipeline.demo.logbook import Entry, Segment
from pipeline.demo.names import name_exercise
from pipeline.demo.sheet import BLANK, Row, Sheet
from pipeline.demo.shorthand import shared_reserve, write_load, write_number, write_sets

Remarks = Mapping[date, str]


def write_wide(entries: Iterable[Entry], note: str, remarks: Remarks) -> list[Sheet]:
    """Layout 1: a sheet a year. Days with a remark and no training have a row without sets."""
    by_year = groupby(entries, key=lambda entry: entry.day.year)
    return [_write_year(year, list(own), note, remarks) for year, own in by_year]


def _write_year(year: int, entries: list[Entry], note: str, remarks: Remarks) -> Sheet:
    lifts = list(dict.fromkeys(entry.exercise_id for entry in entries))
    days: dict[date, dict[str, str]] = {day: {} for day in remarks if day.year == year}
    for entry in entries:
        days.setdefault(entry.day, {})[entry.exercise_id] = write_sets(entry)
    rows = [
        Row(
            (
                f"{day.day} {MONTHS[day.month - 1]}",
                *(cells.get(lift, "") for lift in lifts),
                remarks.get(day, ""),
            )
        )
        for day, cells in sorted(days.items())
    ]
    names = (name_exercise(lift, f"wide_{year % 4}") for lift in lifts)
    return Sheet(
        path=f"yearly sheets/training {year}.csv",
        note=note,
        labels=("Day", *names, "Remarks"),
        rows=rows,
        measured=tuple(range(1, len(lifts) + 1)),
    )


def write_european(
    entries: Iterable[Entry], note: str, remarks: Remarks, kilograms_from: date, path: str
) -> Sheet:
    """Layout 2: a row a set; an empty row between months; drops marked, their set above them."""
    rows: list[Row] = []
    for _, month in groupby(entries, key=lambda entry: (entry.day.year, entry.day.month)):
        rows += [Row(("",) * 7, BLANK)] if rows else []
        for day, own in groupby(month, key=lambda entry: entry.day):
            unit = "kg" if day >= kilograms_from else "lb"
            remark = remarks.get(day, "")
            for entry in own:
                for cells in _european_rows(entry, unit, remark):
                    rows.append(Row(cells))
                    remark = ""
    labels = ("Datum", "Übung", "Satz", "Last", "Wdh", "Drop", "Bemerkung")
    return Sheet(path, note, labels, rows, separator=";", encoding="cp1252")


def _european_rows(entry: Entry, unit: str, remark: str) -> Iterator[tuple[str, ...]]:
    day, name = entry.day.strftime("%d.%m.%Y"), name_exercise(entry.exercise_id, "european")
    for set_no, one in enumerate(entry.sets, 1):
        for place, segment in enumerate(one):
            load = write_load(segment, entry.loaded_as, unit, ",")
            numbers = (str(set_no), "") if place == 0 else ("", "ja")
            yield day, name, numbers[0], load, str(segment.reps), numbers[1], remark
            remark = ""


def write_exercises(entries: Iterable[Entry], note: str, remarks: Remarks, path: str) -> Sheet:
    """Layout 3: a row an exercise; reserve in its column where all sets had the same."""
    written = sorted(entries, key=lambda entry: entry.day)
    trained = {entry.day for entry in written}
    rows = [(day, ("", "", "", remark)) for day, remark in remarks.items() if day not in trained]
    last = None
    for entry in written:
        reserve = shared_reserve(entry)
        sets = write_sets(entry, with_reserve=reserve is None and entry.has_reserve)
        remark = remarks.get(entry.day, "") if entry.day != last else ""
        name = name_exercise(entry.exercise_id, "log")
        if entry.angle_deg is not None:
            name += f" {entry.angle_deg}"
        rows.append((entry.day, (name, sets, reserve or "", remark)))
        last = entry.day
    rows.sort(key=lambda row: row[0])
    return Sheet(
        path=path,
        note=note,
        labels=("Date", "Exercise", "Sets", "RIR", "Notes"),
        rows=[Row((day.isoformat(), *cells), "kept" if cells[0] else BLANK) for day, cells in rows],
    )


SET_LABELS = (
    *("Date", "Exercise", "Set", "Load kg", "Reps", "RIR", "Failure", "Warm-up"),
    *("Cluster", "Segment", "Bench deg", "Set-up", "Note"),
)


def write_set_rows(entries: Iterable[Entry], note: str, remarks: Remarks) -> list[Sheet]:
    """Layout 4: a sheet a year, a row a set or drop, all in kilograms."""
    sheets: list[Sheet] = []
    for year, own in groupby(entries, key=lambda entry: entry.day.year):
        rows: list[Row] = []
        for day, on_day in groupby(own, key=lambda entry: entry.day):
            cells = [row for entry in on_day for row in _set_rows(entry)]
            first = (*cells[0][:-1], remarks.get(day, ""))
            rows += map(Row, [first, *cells[1:]])
        sheets.append(Sheet(f"sets/sets {year}.csv", note, SET_LABELS, rows))
    return sheets


def _set_rows(entry: Entry) -> Iterator[tuple[str, ...]]:
    letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    for set_no, one in enumerate(entry.sets, 1):
        cluster = next(letters) if len(one) > 1 else ""
        for place, segment in enumerate(one, 1):
            yield (
                entry.day.isoformat(),
                name_exercise(entry.exercise_id, "sets"),
                str(set_no),
                write_load(segment, entry.loaded_as),
                *_set_marks(segment),
                cluster,
                str(place) if cluster else "",
                "" if entry.angle_deg is None else write_number(entry.angle_deg),
                entry.position or "",
                "",
            )


def _set_marks(segment: Segment) -> tuple[str, str, str, str]:
    return (
        str(segment.reps),
        "" if segment.rir is None else str(segment.rir),
        "x" if segment.to_failure else "",
        "x" if segment.is_warmup else "",
    )


def day_borders(sheet: Sheet) -> list[int]:
    """Places between two rows of different days, where a slip can be put in."""
    pairs = enumerate(pairwise(sheet.rows), 1)
    return [place for place, (one, other) in pairs if one.cells[0] != other.cells[0]]
