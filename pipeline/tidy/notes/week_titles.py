"""Notes whose blocks are titled ``Week 1``, ``Day 2`` and hold no date: days by the first one.

The map gives the day on which the first week began. Week n begins 7 (n - 1) days later; where the
numbers of the weeks begin again, they go on from the week before. The days of a week are laid
evenly over it, as many as the highest number says (of three the first, third and fifth day): an
assumption that the file's warnings tell.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pipeline.tidy.notes.day_patterns import DayMark
from pipeline.tidy.notes.layout import NoteLine

_WEEK = r"(?:week|wk|woche|semaine|semana|settimana|vecka)"
_DAY = r"(?:day|tag|jour|d[ií]a|giorno|dag)"
_TITLE = re.compile(
    rf"(?:(?:{_WEEK}\s*#?\s*|w(?=\d))(?P<week>\d{{1,3}})(?!\d)\s*[,:;./\-–—|]*\s*)?"
    rf"(?:(?:{_DAY}\s*#?\s*|d(?=\d))(?P<day>[1-7])(?!\d))?",
    re.IGNORECASE,
)
_SPARE = " :.–—|,;-=_*()"
_MOST_REST = 5  # words behind the numbers of a title
WEEK_DAYS = 7


@dataclass(frozen=True)
class _Title:
    place: int
    week: int | None
    day: int | None
    written: str
    after: str


def week_titles(lines: Sequence[NoteLine]) -> tuple[str, ...]:
    """Titles as written of the lines that number a week or a day of one; none without a week."""
    titles = _titles(lines)
    return tuple(one.written for one in titles) if any(one.week for one in titles) else ()


def derive_marks(lines: Sequence[NoteLine], first_day: date) -> list[tuple[int, DayMark]]:
    """Place and mark of each title, its day counted from the first day of the first week."""
    titles = _titles(lines)
    per_week = max((one.day for one in titles if one.day), default=1)
    weeks = [one.week for one in titles if one.week]
    goes_down = len(weeks) > 1 and weeks == sorted(weeks, reverse=True)
    shift, last, week = 0, 0, None
    found: list[tuple[int, DayMark]] = []
    for one in titles:
        if one.week and one.week < last and not goes_down:
            shift += last
        if one.week:
            last = one.week
            week = shift + one.week
        if week is None:
            continue
        within = WEEK_DAYS * ((one.day or 1) - 1) // per_week
        day = first_day + timedelta(days=WEEK_DAYS * (week - 1) + within)
        mark = DayMark(
            "day",
            "week and day",
            year=f"{day.year:04}",
            month=day.month,
            day=day.day,
            written=one.written,
            after=one.after,
        )
        found.append((one.place, mark))
    return found


def _titles(lines: Sequence[NoteLine]) -> list[_Title]:
    found: list[_Title] = []
    for line in lines:
        match = _TITLE.match(line.text) if line.text and not line.is_table else None
        if match is None or not (match["week"] or match["day"]):
            continue
        after = line.text[match.end() :].strip(_SPARE)
        if any(sign.isdigit() for sign in after) or len(after.split()) > _MOST_REST:
            continue
        week, day = (int(match[name]) if match[name] else None for name in ("week", "day"))
        written = match[0].strip(_SPARE)
        found.append(
            _Title(
                line.place, int(week) if week else None, int(day) if day else None, written, after
            )
        )
    return found
