"""What a doubted or refused cell may have meant: the correction, for a person to take or leave.

A proposal is never applied by itself. It is the whole cell as it stands and as it may be meant.
"""

import math
import re
from collections.abc import Callable, Iterable
from datetime import date

from pipeline.core.calendar import WRITTEN_YEAR
from pipeline.core.units import KG_PER_LB

_NUMBER = re.compile(r"(?<![\d.,])\d+(?:[.,]\d+)?(?![\d]|[.,]\d)")
_PLAIN = re.compile(r"\s*\d+(?:[.,]\d+)?\s*")
# A proposal has to come this near to what is usual, as a ratio either way. Sets of one lift differ
# more than this, but no other place of the decimal point comes as near.
NEAR_RATIO = 1.3
SHIFTED_RATIO = 1.9
SAME_NUMBER = 1e-3
# A day with day and month swapped lies within so many days of those beside it, as in a doubted day.
NEAR_DAYS = 45
_LIKE_YEAR = re.compile(r"(?<!\d)(?:1[89]|2\d)\d\d(?!\d)")
_SHORT_YEAR = re.compile(r"(?<=\d[./\-])\d\d$")
# Day and month before a year, and behind one.
_MONTH_FIRST = re.compile(r"(?<!\d)(\d{1,2})([./\-])(\d{1,2})(?=[./\-](?:\d{4}|\d{2})$)")
_MONTH_LAST = re.compile(r"(?<=\d{4}[./\-])(\d{1,2})([./\-])(\d{1,2})(?!\d)")
# What a slipped number is multiplied by to mend it.
SHIFTS = (0.1, 0.01, 10.0)
UNITS = (("lb", KG_PER_LB), ("kg", 1.0 / KG_PER_LB))


def find_number(cell: str, load_kg: float) -> str | None:
    """The number of a cell that is this load, in kg or lb, whole or of one of two sides."""
    factors = (1.0, KG_PER_LB, 2.0, 2.0 * KG_PER_LB)
    for factor in factors:
        for match in _NUMBER.finditer(cell):
            value = float(match[0].replace(",", ".")) * factor
            if math.isclose(value, load_kg, rel_tol=SAME_NUMBER):
                return match[0]
    return None


def propose_load(cell: str, number: str, ratio: float) -> str | None:
    """The cell with the decimal point of the load moved, or with the unit that explains it.

    Parameters
    ----------
    cell : the whole cell.
    number : the load as it stands in it.
    ratio : the load as read over the usual one.
    """
    shifted = _nearest(((f"{shift}", ratio * shift) for shift in SHIFTS), SHIFTED_RATIO)
    in_unit = _nearest(((unit, ratio * factor) for unit, factor in UNITS))
    best = min((one for one in (shifted, in_unit) if one), key=lambda one: one[1], default=None)
    if best is None:
        return None
    if best is shifted:
        return _replace_number(cell, number, _shift(number, float(best[0])))
    if _PLAIN.fullmatch(cell):
        return f"{cell.strip()} {best[0]}"
    has_unit = re.search(rf"{re.escape(number)}\s*(?:kg|lb|k|#)", cell, re.IGNORECASE)
    return None if has_unit else _replace_number(cell, number, f"{number}{best[0]}")


def propose_reps(cell: str, reps: int, usual: float) -> str | None:
    """The cell with one digit of the repetitions left out, at either end."""
    text = str(reps)
    choices = [part for part in (text[:-1], text[1:]) if part and int(part) > 0]
    best = _nearest((part, int(part) / usual) for part in choices)
    return _replace_number(cell, text, best[0]) if best else None


def propose_value(cell: str, usual: float, read: Callable[[str], float | None]) -> str | None:
    """The cell of a measured value with its decimal point moved.

    Parameters
    ----------
    read : gives a cell's value in the unit of ``usual``, None where it cannot be read.
    """
    number = _first_number(cell)
    if number is None or not usual:
        return None
    texts = [_replace_number(cell, number, _shift(number, shift)) for shift in SHIFTS]
    values = ((text, read(text)) for text in texts if text)
    best = _nearest((text, value / usual) for text, value in values if value)
    return best[0] if best else None


def propose_date(cell: str, near: Iterable[date], read: Callable[[str], date | None]) -> str | None:
    """The cell with the year, or day and month swapped, that bring it nearest to the days beside.

    Parameters
    ----------
    near : the days written before and after it.
    read : gives the day that a cell says, None where it says none that can have been.
    """
    beside = list(near)
    if not beside:
        return None

    def how_far(day: date) -> int:
        return sum(abs((day - other).days) for other in beside)

    years = {day.year + step for day in beside for step in (-1, 0, 1)}
    swapped = [(text, day) for text in _swap(cell) if (day := read(text)) is not None]
    found = [(text, day) for text, day in swapped if how_far(day) <= NEAR_DAYS * len(beside)]
    texts = _other_years(cell, years)
    found += [(text, day) for text in texts if (day := read(text)) is not None]
    return min(found, key=lambda one: how_far(one[1]))[0] if found else None


def _other_years(cell: str, years: Iterable[int]) -> list[str]:
    """The cell with each of the years in place of its one year, of four digits or of two."""
    written = list(WRITTEN_YEAR.finditer(cell)) or list(_LIKE_YEAR.finditer(cell))
    place = written[0] if written else _SHORT_YEAR.search(cell)
    if place is None or len(written) > 1:
        return []
    start, end = place.span()
    texts = (cell[:start] + str(year)[start - end :] + cell[end:] for year in sorted(years))
    return [text for text in texts if text != cell]


def _swap(cell: str) -> list[str]:
    """The cell with its day and month in the other order, where both are numbers."""
    for pattern in (_MONTH_LAST, _MONTH_FIRST):
        if match := pattern.search(cell):
            one, two = match[1], match[3]
            text = f"{cell[: match.start()]}{two}{match[2]}{one}{cell[match.end() :]}"
            return [text] if text != cell else []
    return []


def _nearest(
    choices: Iterable[tuple[str, float]], within: float = NEAR_RATIO
) -> tuple[str, float] | None:
    """The choice whose ratio is nearest to 1, and how far it is, in logarithms."""
    far = ((text, abs(math.log(ratio))) for text, ratio in choices if ratio > 0)
    near = [one for one in far if one[1] <= math.log(within)]
    return min(near, key=lambda one: one[1], default=None)


def _first_number(text: str) -> str | None:
    match = _NUMBER.search(text)
    return match[0] if match else None


def _shift(number: str, by: float) -> str:
    """``number`` times ``by``, with the decimal sign it was written with."""
    mended = f"{float(number.replace(',', '.')) * by:.6g}"
    return mended.replace(".", ",") if "," in number else mended


def _replace_number(cell: str, number: str, mended: str) -> str | None:
    """The cell with its one such number replaced; None where there are more, or none."""
    places = [match for match in _NUMBER.finditer(cell) if match[0] == number]
    if len(places) != 1:
        return None
    (place,) = places
    return cell[: place.start()] + mended + cell[place.end() :]
