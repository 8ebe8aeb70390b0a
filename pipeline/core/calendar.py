"""Weeks and training age. A week starts on Monday (ISO 8601); the clock is never read here."""

from datetime import date, timedelta

DAYS_PER_YEAR = 365.25


def week_start_of(day: date) -> date:
    """Monday of the week that holds ``day``."""
    return day - timedelta(days=day.weekday())


def week_starts(first: date, last: date) -> list[date]:
    """Every Monday from the week of ``first`` to the week of ``last``, both included."""
    start, end = week_start_of(first), week_start_of(last)
    return [start + timedelta(weeks=i) for i in range((end - start).days // 7 + 1)]


def week_index(day: date, first_week: date) -> int:
    """Weeks from ``first_week`` (a Monday) to the week of ``day``."""
    return (week_start_of(day) - first_week).days // 7


def training_age_years(day: date, training_began: date) -> float:
    """Years of structured training at ``day``: since training began, not since the log began."""
    return (day - training_began).days / DAYS_PER_YEAR


MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def say_date(day: date) -> str:
    """A date with its month as a name: 3 Mar 2025."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
