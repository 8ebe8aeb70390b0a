"""Units of measured columns: as the label says, else by what the values can be."""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.sources.draft_cells import CLOCK, Column
from pipeline.sources.draft_records import Notebook

SIMPLE_UNITS = {
    "resting_hr_bpm": "bpm",
    "hrv_rmssd_ms": "ms",
    "hrv_sdnn_ms": "ms",
    "steps": "steps",
}
UNIT_WORDS = {
    "h": "hours",
    "min": "minutes",
    "h:mm": "hours and minutes",
    "kg": "kilograms",
    "lb": "pounds",
    "cm": "centimetres",
    "in": "inches",
}
ALLOWED = {"sleep_min": ("h", "min", "h:mm"), "body_weight_kg": ("kg", "lb")}
# Middle values that only one unit allows for an adult. Common practice, no published source.
SURELY_HOURS = 16.0
SURELY_MINUTES = 120.0
SURELY_KG = 95.0
SURELY_LB = 160.0
# Girths that are centimetres above and inches below, by site.
CM_ABOVE = {"waist": 55.0, "chest": 60.0, "hips": 60.0, "shoulders": 70.0, "thigh": 35.0}
CM_ABOVE_OTHER = 22.0


@dataclass(frozen=True)
class SignalFinding:
    """One measured column: label, the signal it gives, and the unit it is in."""

    label: str
    signal: str
    unit: str


def find_units(signals: Sequence[tuple[Column, str]], book: Notebook) -> tuple[SignalFinding, ...]:
    """Unit of each measured column; asked about where neither label nor values settle it."""
    return tuple(
        SignalFinding(column.label, signal, _find_unit(column, signal, book))
        for column, signal in signals
    )


def _find_unit(column: Column, signal: str, book: Notebook) -> str:
    if signal in SIMPLE_UNITS:
        return SIMPLE_UNITS[signal]
    if signal.startswith("rating_"):
        return "points"
    if signal == "sleep_min" and column.share_like(CLOCK) > 0.5:
        book.note(f"{column.label!r} is written in hours and minutes, such as {column.cells[0]!r}.")
        return "h:mm"
    allowed = ALLOWED.get(signal, ("cm", "in"))
    stated = column.meaning.unit
    if stated in allowed:
        book.note(f"{column.label!r} is in {UNIT_WORDS[stated]}: the label says so.")
        return stated
    middle = statistics.median(column.numbers) if column.numbers else 0.0
    unit, is_sure = _by_size(signal, middle)
    told = f"the middle of {column.label!r} is {middle:g}"
    if is_sure:
        book.note(f"{column.label!r} is taken to be in {UNIT_WORDS[unit]}: {told}.")
        return unit
    other = next(one for one in allowed if one != unit)
    key = f'signals."{column.label}".unit'
    return book.ask(key, f"In which unit is {column.label!r}?", (unit, other), told)


def _by_size(signal: str, middle: float) -> tuple[str, bool]:
    """Likelier unit, and whether only that one is possible."""
    if signal == "sleep_min":
        unit = "h" if middle < SURELY_MINUTES / 2 else "min"
        return unit, middle <= SURELY_HOURS or middle >= SURELY_MINUTES
    if signal == "body_weight_kg":
        unit = "kg" if middle < (SURELY_KG + SURELY_LB) / 2 else "lb"
        return unit, middle <= SURELY_KG or middle >= SURELY_LB
    site = signal.removeprefix("girth_").removesuffix("_cm")
    return ("cm" if middle >= CM_ABOVE.get(site, CM_ABOVE_OTHER) else "in"), True
