"""Weeks and training age; the clock is never read here.

A week starts on the weekday that the lifter chose, Monday (ISO 8601) where nothing was chosen.
"""

import re
from datetime import date, timedelta
from typing import TypeVar

import polars as pl

DAYS_PER_YEAR = 365.25
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# What a week may start on, in the order of ISO 8601.
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DEFAULT_WEEK_STARTS = WEEKDAYS[0]
# No logbook here is older: a day before it is a slip of the pen (0215 would make 18 centuries).
EARLIEST_DAY = date(1950, 1, 1)
WRITTEN_YEAR = re.compile(r"(?<!\d)(?:19[5-9]\d|20\d\d)(?!\d)")

# The nearest start of a week lies no further from a day, either way.
HALF_WEEK = timedelta(days=3)

Days = TypeVar("Days", pl.Expr, pl.Series)


def iso_weekday(name: str) -> int:
    """Number of one of ``WEEKDAYS`` in ISO 8601: 1 Monday to 7 Sunday."""
    return WEEKDAYS.index(name) + 1


def week_start_of(day: date, starts: str) -> date:
    """First day of the week that holds ``day``; ``starts``: one of ``WEEKDAYS``."""
    return day - timedelta(days=(day.isoweekday() - iso_weekday(starts)) % 7)


def week_starts_of(days: Days, starts: str) -> Days:
    """The same of a column of days."""
    later = WEEKDAYS.index(starts)
    return days.dt.offset_by(f"-{later}d").dt.truncate("1w").dt.offset_by(f"{later}d")


def nearest_week_start(day: date, starts: str) -> date:
    """First day of the week that shares most days with the seven from ``day`` on."""
    return week_start_of(day + HALF_WEEK, starts)


def training_age_years(day: date, training_began: date) -> float:
    """Years of structured training at ``day``: since training began, not since the log began."""
    return (day - training_began).days / DAYS_PER_YEAR


def say_date(day: date) -> str:
    """A date with its month as a name: 3 Mar 2025."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def read_said_date(text: str) -> date:
    """The date that ``say_date`` wrote so."""
    day, month, year = text.split()
    return date(int(year), MONTHS.index(month) + 1, int(day))
