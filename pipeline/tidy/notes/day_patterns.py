"""The ways in which a date may be written, and the mark that each gives."""

import re
from dataclasses import dataclass
from typing import Literal

from pipeline.tidy.notes.date_words import month_of

Kind = Literal["day", "weekday", "week", "month", "year"]
WORD = r"[^\W\d_]+"
A_YEAR = r"(?:19[5-9]\d|2\d\d\d)"
_COMPACT = re.compile(r"(?<!\d)((?:19|20)\d\d)(0[1-9]|1[0-2])([0-3]\d)(?!\d)")
_YMD_SIGNS = re.compile(r"(?<!\d)(\d{4})\s?[年년]\s?(\d{1,2})\s?[月월]\s?(\d{1,2})\s?[日일]")
_YMD = re.compile(r"(?<!\d)(\d{4})\s?([-/._])\s?(\d{1,2})\s?\2\s?(\d{1,2})(?!\d)")
_TRIPLE = re.compile(
    r"(?<![\d.,])(\d{1,2})\s?([./\-])\s?(\d{1,2})\s?\2\s?('?\d{2}|\d{4})(?![\d]|[.,]\d)"
)
_DAY_MONTH = re.compile(
    rf"(?<!\d)(\d{{1,2}})(?:st|nd|rd|th|er|º|\.)?[\s\-/]*(?:of\s+|de\s+)?({WORD})\.?,?"
    rf"(?:[\s\-/]*(?:de\s+|del\s+)?({A_YEAR}|'\d\d)(?!\d)|(?:[\-/.]|\s(?=\d\d\s*$))(\d\d)(?!\d))?",
    re.IGNORECASE,
)
_MONTH_DAY = re.compile(
    rf"({WORD})\.?[\s\-]*(\d{{1,2}})(?:st|nd|rd|th)?(?![\d:x×*]|[.,]\d)"
    rf"(?:(?:,\s*|\s+)({A_YEAR}|'\d\d)(?!\d))?",
    re.IGNORECASE,
)
_YEAR_MONTH_DAY = re.compile(rf"({A_YEAR})[\s\-/]+({WORD})\.?[\s\-/]+(\d{{1,2}})(?!\d)")
_LIKE_YMD = re.compile(r"(\d{4})\s?([-/._])\s?(\d{1,2})\s?\2\s?(\d{1,2})(?![\d]|[.,]\d)")
_LIKE_TRIPLE = re.compile(r"(\d{1,2})\s?([./\-])\s?(\d{1,2})\s?\2\s?(\d{4})(?![\d]|[.,]\d)")
_SIX = re.compile(r"(?<![\d.,])(\d\d)(\d\d)(\d\d)(?=\s*(?:$|[:,(\[|–—-])|\s+[^\W\d_])")
PAIR = re.compile(r"(?<![\d.,/\-])(\d{1,2})\s?([./\-])\s?(\d{1,2})(\.?)(?![\d/\-]|[.,]\d)")


@dataclass(frozen=True)
class DayMark:
    """A date as a line writes it.

    ``year``, ``month`` and ``day`` are those that the text itself tells apart; ``numbers`` are two
    or three numbers whose order only the map knows. ``form`` is the same for all dates written
    alike; ``is_weak`` where the same signs could be sets. ``before`` and ``after`` are the rest of
    the line. ``order`` is that of the numbers where it is another than the file's first.
    """

    kind: Kind
    form: str
    year: str | None = None
    month: int | None = None
    day: int | None = None
    numbers: tuple[str, ...] = ()
    weekday: int | None = None
    is_weak: bool = False
    written: str = ""
    before: str = ""
    after: str = ""
    order: str | None = None

    @property
    def parted(self) -> str:
        """As written; six digits that run together with a sign between their numbers."""
        return "-".join(self.numbers) if self.written.isdigit() else self.written

    def parts(self, order: str) -> tuple[str | None, int | None, int | None]:
        """Year, month and day when numbers stand in ``order`` ("dmy", "mdy" or "ymd")."""
        if not self.numbers:
            return self.year, self.month, self.day
        order = self.order or order
        letters = order if len(self.numbers) == 3 else order.replace("y", "")
        if len(self.numbers) == 3 and len(self.numbers[2]) == 4 and order == "ymd":
            letters = "dmy"  # a year of four digits behind says that this is not the order here
        found = dict(zip(letters, self.numbers, strict=True))
        return found.get("y"), int(found["m"]), int(found["d"])


def _ymd(match: re.Match[str]) -> DayMark | None:
    year, month, day = [part for part in match.groups() if part and part[0].isdigit()]
    if not (1 <= int(month) <= 12 and 1 <= int(day) <= 31 and 1900 < int(year) < 2200):
        return None
    return DayMark("day", "year first", year, int(month), int(day))


def _triple(match: re.Match[str]) -> DayMark | None:
    numbers = match[1], match[3], match[4].lstrip("'")
    one, two, three = map(int, numbers)
    is_month_first = 1 <= min(one, two) <= 12 and 1 <= max(one, two) <= 31
    is_year_first = len(numbers[2]) == 2 and 1 <= two <= 12 and 1 <= three <= 31
    if not (is_month_first or is_year_first):
        return None
    form = f"N{match[2]}N{match[2]}{'Y' * len(numbers[2])}"
    return DayMark("day", form, numbers=numbers, is_weak=len(numbers[2]) == 2)


def _six(match: re.Match[str]) -> DayMark | None:
    """``180108``: year, month and day run together, in the order that the map knows."""
    one, two, three = map(int, match.groups())
    is_year_first = 1 <= two <= 12 and 1 <= three <= 31
    is_year_last = 1 <= min(one, two) <= 12 and 1 <= max(one, two) <= 31
    if not (is_year_first or is_year_last):
        return None
    return DayMark("day", "NNYY or YYNN", numbers=match.groups(), is_weak=True)


def _named(day: str, month: int | None, year: str | None, form: str) -> DayMark | None:
    is_whole = year is not None and len(year) == 4  # "32 March 2020" is a slip, and no set
    if month is None or not (1 <= int(day) <= 31 or is_whole):
        return None
    return DayMark("day", form, year.lstrip("'") if year else None, month, int(day))


def _day_month(match: re.Match[str]) -> DayMark | None:
    return _named(match[1], month_of(match[2]), match[3] or match[4], "day Month")


def _month_day(match: re.Match[str]) -> DayMark | None:
    return _named(match[2], month_of(match[1]), match[3], "Month day")


def _year_month_day(match: re.Match[str]) -> DayMark | None:
    return _named(match[3], month_of(match[2]), match[1], "year first")


def build_slip(text: str, at: int) -> tuple[DayMark, int] | None:
    """What is written like a whole date at ``at`` and is no day of any calendar, and its end.

    It opens a day as a right date does: the lines beneath belong to no earlier one.
    """
    if match := _LIKE_YMD.match(text, at):
        mark = DayMark("day", "year first", match[1], int(match[3]), int(match[4]))
    elif match := _LIKE_TRIPLE.match(text, at):
        mark = DayMark("day", f"N{match[2]}N{match[2]}YYYY", numbers=(match[1], match[3], match[4]))
    else:
        return None
    return mark, match.end()


def build_pair(match: re.Match[str]) -> DayMark | None:
    """Day and month as two numbers, in the order that the map knows."""
    one, two = int(match[1]), int(match[3])
    if not (1 <= min(one, two) <= 12 and 1 <= max(one, two) <= 31):
        return None
    return DayMark("day", f"N{match[2]}N", numbers=(match[1], match[3]), is_weak=True)


BUILDERS = (
    (_COMPACT, _ymd),
    (_YMD, _ymd),
    (_YMD_SIGNS, _ymd),
    (_YEAR_MONTH_DAY, _year_month_day),
    (_TRIPLE, _triple),
    (_DAY_MONTH, _day_month),
    (_MONTH_DAY, _month_day),
    (_SIX, _six),
)
