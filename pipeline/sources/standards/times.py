"""Date-times and spans of time as the standards write them; the day is the one written."""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

# RFC 3339, section 5.6: a date-time has its offset.
_DATE_TIME = re.compile(
    r"(\d{4}-\d\d-\d\d)[Tt](\d\d:\d\d:\d\d)(\.\d+)?([Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)"
)
# FHIR R4, datatypes: a year, a month, a day, or a moment with its offset.
_FHIR_DATE_TIME = re.compile(rf"\d{{4}}(?:-\d\d)?|\d{{4}}-\d\d-\d\d|{_DATE_TIME.pattern}")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
# Units of duration in Open mHealth and IEEE 1752.1 that have a fixed length, in seconds.
SECONDS = {
    "ps": 1e-12,
    "ns": 1e-9,
    "us": 1e-6,
    "ms": 1e-3,
    "sec": 1.0,
    "min": 60.0,
    "h": 3600.0,
    "d": 86_400.0,
    "wk": 604_800.0,
}


@dataclass(frozen=True)
class Span:
    """From and to, as written: a moment with its offset or a day. Equal for a point in time."""

    start: str | None
    end: str | None


def is_date_time(text: object) -> bool:
    """A moment of RFC 3339 that exists in the calendar."""
    return not isinstance(text, str) or (
        _DATE_TIME.fullmatch(text) is not None and read_moment(text) is not None
    )


def is_full_date(text: object) -> bool:
    """A day such as 2024-03-05 that exists in the calendar."""
    return not isinstance(text, str) or (_DAY.fullmatch(text) is not None and _is_in_calendar(text))


def is_fhir_date_time(text: object) -> bool:
    """A ``dateTime`` of FHIR R4 that exists in the calendar."""
    if not isinstance(text, str):
        return True
    if _FHIR_DATE_TIME.fullmatch(text) is None:
        return False
    if len(text) <= len("2024-03"):
        return len(text) == len("2024") or _is_in_calendar(f"{text}-01")
    return _is_in_calendar(text) if _DAY.fullmatch(text) else read_moment(text) is not None


def _is_in_calendar(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def read_moment(text: str) -> datetime | None:
    """The moment with its offset; None when there is none such, or it is a day only."""
    match = _DATE_TIME.fullmatch(text)
    if match is None:
        return None
    day, time, fraction, offset = match.groups()
    exact = (fraction or ".0")[:7]
    try:
        return datetime.fromisoformat(f"{day}T{time}{exact:0<7}{offset.upper()}")
    except ValueError:
        return None


def span_of_frame(frame: dict[str, Any]) -> Span:
    """Span of a valid ``effective_time_frame``; a duration gives the missing end.

    A day with a part of it (morning ...) is that day.
    """
    if "date_time" in frame:
        return Span(frame["date_time"], frame["date_time"])
    interval = frame["time_interval"]
    if "date" in interval:
        return Span(interval["date"], interval["date"])
    start, end = interval.get("start_date_time"), interval.get("end_date_time")
    if start is None or end is None:
        length = _length_of(interval["duration"])
        start = start or _moved(end, -length if length is not None else None)
        end = end or _moved(start, length)
    return Span(start, end)


def _length_of(duration: dict[str, Any]) -> timedelta | None:
    """None where the unit has no fixed length, or the length is beyond any calendar."""
    try:
        return timedelta(seconds=float(duration["value"]) * SECONDS[duration["unit"]])
    except (KeyError, OverflowError):
        return None


def _moved(text: str | None, by: timedelta | None) -> str | None:
    moment = read_moment(text) if text is not None else None
    try:
        return None if moment is None or by is None else (moment + by).isoformat()
    except OverflowError:
        return None


def is_reversed(span: Span) -> bool:
    """The end lies before the start."""
    if span.start is None or span.end is None:
        return False
    start, end = read_moment(span.start), read_moment(span.end)
    if start is None or end is None:
        return span.end[:10] < span.start[:10]
    return end < start


def hours_of(span: Span) -> float | None:
    """Length in hours; None when one end is not known, whole days where no time is written."""
    if span.start is None or span.end is None:
        return None
    start, end = read_moment(span.start), read_moment(span.end)
    if start is not None and end is not None:
        return (end - start).total_seconds() / 3600
    days = date.fromisoformat(span.end[:10]) - date.fromisoformat(span.start[:10])
    return (days.days + 1) * 24.0
