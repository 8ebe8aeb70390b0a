"""Rows of a sheet in which days stand as headings, told from rows that hold what was done."""

import re
from collections.abc import Sequence

from pipeline.sources.draft_labels import read_label

MOST_BESIDE = 4  # cells beside a day in a row of headings: "Week 3", "Push", "Gym"
_MONTH = r"(?:[^\W\d_]{3,9})\.?"
_YEAR = r"(?:\d{4}|\d{2})"
_LONG_DAY = (
    r"\d{4}[-./]\d{1,2}[-./]\d{1,2}|\d{1,2}[-./]\d{1,2}[-./]\d{4}"
    rf"|\d{{1,2}}(?:st|nd|rd|th|\.)?[\s-]+{_MONTH},?[\s-]+\d{{4}}"
    rf"|{_MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?,?\s+\d{{4}}"
)
_WEEKDAY = r"(?:[^\W\d_]{2,10}\.?,?:?\s+)?"
_DAY = re.compile(
    rf"{_WEEKDAY}(?:{_LONG_DAY}|\d{{4}}-\d\d-\d\d[T ]\d\d:\d\d:\d\d"
    rf"|\d{{1,2}}[-./]\d{{1,2}}(?:[-./]{_YEAR})?\.?"
    rf"|\d{{1,2}}(?:st|nd|rd|th|\.)?[\s-]+{_MONTH}(?:,?[\s-]+{_YEAR})?"
    rf"|{_MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?(?:,?\s+{_YEAR})?)",
    re.IGNORECASE,
)
# "Push - 4 March 2019", "Week 1, day 2 (04.03.2019)", "2019-03-04: legs"
_TITLED = re.compile(
    r"[^\W\d_][^\d]{0,19}?(?:\d{1,2}[^\d]{1,12}?){0,2}\s*[-–—:|,(]\s*"
    rf"(?P<behind>{_WEEKDAY}(?:{_LONG_DAY}))\)?"
    rf"|(?P<before>{_WEEKDAY}(?:{_LONG_DAY}))\s*[-–—:|,(][^\d]{{1,25}}\d{{0,2}}\)?",
    re.IGNORECASE,
)
# "Week 3", "Day 12" are written like "March 3" and are no days.
_TITLE_ONLY = re.compile(
    r"(?:week|woche|semaine|semana|settimana|vecka|day|tag|jour|set|cycle|block|phase|round|"
    r"workout|session)s?\b(?!.*\d\D+\d)",
    re.IGNORECASE,
)
_CLEAR = re.compile(r"\d{4}|\d\W*[^\W\d_]{3}|[^\W\d_]{3}\.?\s+\d{1,2}(?![-./\d])")
# A number, or sets in shorthand: such a row is no heading.
_WORK = re.compile(
    r"^\s*[-+]?\d+(?:[.,]\d+)?\s*(?:kg|lbs?)?\s*$|\d\s*(?:kg|lbs?|reps?)?\s*[x×*@]\s*\d",
    re.IGNORECASE,
)

Row = Sequence[str | None]


def day_of(cell: str | None) -> str | None:
    """The day that a cell names, alone or with a title set apart by a sign; None where it is none.

    >>> [day_of(text) for text in ("Mon 4 March", "Push - 04.03.2019", "Week 3", "60", "8/8/7")]
    ['Mon 4 March', '04.03.2019', None, None, None]
    """
    text = (cell or "").strip()
    if _DAY.fullmatch(text):
        return None if _TITLE_ONLY.match(text) else text
    titled = _TITLED.fullmatch(text)
    return (titled["behind"] or titled["before"]) if titled else None


def days_in(row: Row) -> list[int]:
    """Places of the days in a row of headings; none where the row is something else.

    Beside the days stand few words and no number. ``8/8`` may be two sets: without a year or the
    name of a month a day has no words before it but a label, such as ``Date:``.

    >>> days_in(["Exercise", "4/3", "6/3"]), days_in(["Squat", "8/8", "7/7"])
    ([1, 2], [])
    """
    filled = [(place, cell) for place, cell in enumerate(row) if cell and cell.strip()]
    days = [place for place, cell in filled if day_of(cell) is not None]
    if not days or len(filled) - len(days) > MOST_BESIDE * len(days):
        return []
    others = [cell for place, cell in filled if place not in days]
    if any(_WORK.search(cell) for cell in others):
        return []
    before = [cell for place, cell in filled if place < days[0]]
    is_clear = any(_CLEAR.search(row[place] or "") for place in days)
    if is_clear or all(read_label(cell).fields or _TITLE_ONLY.match(cell) for cell in before):
        return days
    return []
