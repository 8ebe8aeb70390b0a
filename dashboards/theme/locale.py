"""Signs of numbers and names of months for the drawing library, by the style of the pages.

The two forms are those of the library's own locales (d3-format and d3-time-format).
"""

from typing import Any

from dashboards import words
from dashboards.numbers import MINUS


def number_locale() -> dict[str, Any]:
    """Decimal sign, sign between thousands, minus."""
    decimal = words.decimal_sign()
    return {
        "decimal": decimal,
        "thousands": "." if decimal == "," else ",",
        "grouping": [3],
        "currency": ["", ""],
        "minus": MINUS,
    }


def time_locale() -> dict[str, Any]:
    """Names of days and months, and how dates are put together."""
    names = words.locale()
    days = names.days["format"]
    months = names.months
    date = date_format()
    return {
        "dateTime": f"{date}, %H:%M",
        "date": date,
        "time": "%H:%M",
        "periods": ["AM", "PM"],
        "days": _from_sunday(days["wide"]),
        "shortDays": _from_sunday(days["abbreviated"]),
        "months": list(months["stand-alone"]["wide"].values()),
        "shortMonths": list(months["format"]["abbreviated"].values()),
    }


def date_format() -> str:
    """The pattern of a date with its month as a name."""
    return words.date_template().format(day="%-d", month="%b", year="%Y", iso="%Y-%m-%d")


def _from_sunday(days: dict[int, str]) -> list[str]:
    """The library's weeks of names begin on Sunday; here Monday is 0."""
    return [days[(i + 6) % 7] for i in range(7)]
