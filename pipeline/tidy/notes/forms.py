"""Which of the lines that could be dates are dates: ``3/4`` may be a date, or repetitions.

Dates written alike in one file run in one direction; repetitions do not. A form whose signs could
be sets is believed when its numbers are days of the calendar and go one way, and, where the file
also has dates that cannot be mistaken, when these are written alike, or they lie between those
around them and are not the fewer.
"""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from pipeline.tidy.notes.day_patterns import DayMark

ONE_WAY = 0.75  # share of steps in the commoner direction
VALID = 0.8  # share of lines that are days of the calendar
HALF = 186  # half of 12 months of 31 days
NEAR = timedelta(days=10)
FEW_SURE = 0.2  # sure dates for each day's number, above which the numbers are no days
Placed = tuple[int, DayMark]


def keep_dates(marks: Sequence[Placed], order: str) -> list[Placed]:
    """``marks`` without those that are no dates, in the order of the file."""
    forms: dict[str, list[Placed]] = defaultdict(list)
    for place, mark in marks:
        if mark.is_weak:
            forms[mark.form].append((place, mark))
    sure = [one for one in marks if not one[1].is_weak and one[1].kind == "day"]
    refused = {
        form for form, own in forms.items() if not _are_dates(own, sure, _months(marks), order)
    }
    return [one for one in marks if not (one[1].is_weak and one[1].form in refused)]


def _months(marks: Sequence[Placed]) -> dict[int, int]:
    """Number of the heading of a month that each place stands under."""
    under: dict[int, int] = {}
    heading = -1
    for place, mark in marks:
        if mark.kind == "month":
            heading = place
        under[place] = heading
    return under


def _are_dates(own: list[Placed], sure: list[Placed], under: dict[int, int], order: str) -> bool:
    parts = [(place, *mark.parts(order)) for place, mark in own]
    if own[0][1].month is None and not own[0][1].numbers:
        headed = [(under[place], day or 0) for place, _, _, day in parts if under[place] >= 0]
        is_sparse = len(sure) <= FEW_SURE * len(own)
        return len(headed) >= VALID * len(own) and is_sparse and _rise_within(headed)
    valid = [
        (place, year, month, day)
        for place, year, month, day in parts
        if month is not None and day is not None and 1 <= month <= 12 and 1 <= day <= 31
    ]
    turns = [(month or 0) * 31 + (day or 0) for _, _, month, day in valid]
    if len(valid) < VALID * len(own) or not _go_one_way(turns, is_only=not sure):
        return False
    alike = own[0][1].form.split()[0]
    if any(mark.form.split()[0] == alike for _, mark in sure):
        return True
    inside = any(sure and sure[0][0] < place < sure[-1][0] for place, _ in own)
    return not (inside and len(own) <= len(sure)) and _lie_between(valid, sure, order)


def _rise_within(headed: list[tuple[int, int]]) -> bool:
    """Days under each month go up, or in all months down."""
    steps = [two[1] - one[1] for one, two in pairwise(headed) if one[0] == two[0]]
    up, down = sum(step > 0 for step in steps), sum(step < 0 for step in steps)
    return max(up, down) >= ONE_WAY * len(steps)


def _go_one_way(turns: list[int], is_only: bool) -> bool:
    """Steps in one direction; one may be out of order where the file has no other dates."""
    steps = [(two - one + HALF) % (2 * HALF) - HALF for one, two in pairwise(turns)]
    most = max(sum(step > 0 for step in steps), sum(step < 0 for step in steps))
    return most >= ONE_WAY * len(steps) or (is_only and most >= len(steps) - 1)


def _lie_between(
    valid: Sequence[tuple[int, str | None, int | None, int | None]], sure: list[Placed], order: str
) -> bool:
    """Between the sure dates around them, where there are such with a year."""
    days = [(place, full) for place, mark in sure if (full := _full(mark, order)) is not None]
    told: list[bool] = []
    for place, _, month, day in valid:
        above = max((one for one in days if one[0] < place), default=None)
        below = min((one for one in days if one[0] > place), default=None)
        if above is None or below is None:
            continue
        low, high = sorted((above[1], below[1]))
        years = range(low.year, high.year + 1)
        told.append(any(_is_in(year, month, day, low - NEAR, high + NEAR) for year in years))
    return sum(told) >= ONE_WAY * len(told)


def _full(mark: DayMark, order: str) -> date | None:
    year, month, day = mark.parts(order)
    if year is None or len(year) != 4 or month is None or day is None:
        return None
    try:
        return date(int(year), month, day)
    except ValueError:
        return None


def _is_in(year: int, month: int | None, day: int | None, low: date, high: date) -> bool:
    try:
        return low <= date(year, month or 0, day or 0) <= high
    except ValueError:
        return False
