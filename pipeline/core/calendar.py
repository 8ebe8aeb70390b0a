"""Weeks and training age. A week starts on Monday (ISO 8601); the clock is never read here."""

import re
from datetime import date, timedelta

DAYS_PER_YEAR = 365.25
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# No logbook here is older: a day before it is a slip of the pen (0215 would make 18 centuries).
EARLIEST_DAY = date(1950, 1, 1)
WRITTEN_YEAR = re.compile(r"(?<!\d)(?:19[5-9]\d|20\d\d)(?!\d)")


def week_start_of(day: date) -> date:
    """Monday of the week that holds ``day``."""
    return day - timedelta(days=day.weekday())


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
