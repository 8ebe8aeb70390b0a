"""Calendar years of a record, each with its days, and with the weeks that start in it."""

from dataclasses import dataclass
from datetime import date, timedelta

from dashboards.prepare.strips import StripFrames


@dataclass(frozen=True)
class Year:
    """One calendar year. ``w0`` to ``w1`` are its weeks since the record's first.

    ``first`` is the first day of its first week, ``end`` the day after its last week: what is known
    by weeks only is of these; what has a day, of ``days``, 1 January to 31 December. The record
    may begin after ``w0`` and end before ``w1``: a sheet always shows the whole year, so that
    sheets compare.
    """

    number: int
    first: date
    end: date
    w0: int
    w1: int

    @property
    def last(self) -> date:
        return self.end - timedelta(days=1)

    @property
    def days(self) -> tuple[date, date]:
        """First and last day of the calendar year."""
        return date(self.number, 1, 1), date(self.number, 12, 31)


def years_of(strips: StripFrames) -> list[Year]:
    """The years of the record, newest first."""
    numbers = range(strips.first.year, (strips.last - timedelta(days=6)).year + 1)
    return [_year(number, strips.first) for number in reversed(numbers)]


def _year(number: int, first: date) -> Year:
    start, end = _first_week(number, first), _first_week(number + 1, first)
    return Year(number, start, end, (start - first).days // 7, (end - first).days // 7)


def _first_week(year: int, first: date) -> date:
    """First day of the first week of a year, in steps of weeks from the record's ``first``."""
    day = date(year, 1, 1)
    return day + timedelta(days=(first - day).days % 7)
