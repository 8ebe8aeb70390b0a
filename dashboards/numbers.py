"""How numbers, spans and dates are written in sentences and tables, in the style of the pages."""

from collections.abc import Iterable
from datetime import date, datetime

from dashboards import words
from pipeline.core.calendar import DAYS_PER_YEAR

MINUS = "−"


def count(value: float) -> str:
    """A whole number with thousands apart: 79,662."""
    return _written(f"{round(value):,}")


def amount(value: float, decimals: int = 1) -> str:
    """A number with a fixed number of decimals and a true minus sign."""
    return _written(f"{value:,.{decimals}f}")


def figure(value: object, has_sign: bool = False) -> str:
    """A number with as many decimals as it has, up to six figures in all: 0.25, 16, +0.5."""
    return _written(f"{value:+g}" if has_sign else f"{value:g}")


def _written(text: str) -> str:
    """A number as Python writes it, with a true minus and the signs of the style."""
    return words.with_signs(text.replace("-", MINUS))


def signed(value: float, decimals: int = 1) -> str:
    """A change, always with its sign: +1.3 or −0.4; what rounds to zero has none."""
    text = f"{value:+,.{decimals}f}"
    return _written(text[1:] if float(text.replace(",", "")) == 0 else text)


def interval(low: float, high: float) -> str:
    """An interval of a change: (+0.6 to +2.0); two decimals when an end is within 0.05 of zero."""
    decimals = 2 if min(abs(low), abs(high)) < 0.05 else 1
    low_text, high_text = signed(low, decimals), signed(high, decimals)
    return words.plain("numbers.interval", low=low_text, high=high_text)


def capital(text: str) -> str:
    """A text as it begins a sentence; every other letter stays (nouns of other languages)."""
    return text[:1].upper() + text[1:]


def range_words(low: float, high: float | None) -> str:
    """A range of sets: 15 to 22; without an upper end: 15 and up."""
    if high is None:
        return words.plain("numbers.range_up", low=round(low))
    return words.plain("numbers.range", low=round(low), high=round(high))


def number_word(value: int) -> str:
    """A small number as a word, a larger one in figures."""
    small = words.plain("numbers.small").split()
    return small[value] if 0 <= value < len(small) else count(value)


def _noun(value: int, noun: str) -> str:
    one, many = words.plain(f"numbers.noun_{noun}").split("|")[:2]
    return one if value == 1 else many


def plural(value: int, noun: str) -> str:
    """The number with its noun (``numbers.noun_<noun>``): 1 injury, 4 injuries."""
    return f"{count(value)} {_noun(value, noun)}"


def in_words(value: int, noun: str) -> str:
    """The same with a small number as a word: nine weeks.

    A noun may bring its own words for none and one (``one|many|no|a``): they follow its gender.
    """
    own = words.plain(f"numbers.noun_{noun}").split("|")[2:]
    word = own[value] if 0 <= value < len(own) else number_word(value)
    return f"{word} {_noun(value, noun)}"


def join_names(listed: Iterable[str]) -> str:
    """Names in a row, the last one after "and"."""
    *some, last = list(listed) or [""]
    if not some:
        return last
    return words.plain("numbers.and", first=", ".join(some), second=last)


def time_span(months: int) -> str:
    """A length of time in words: eleven years and nine months."""
    years, rest = divmod(months, 12)
    if not years:
        return in_words(rest, "month")
    if not rest:
        return in_words(years, "year")
    first, second = in_words(years, "year"), in_words(rest, "month")
    return words.plain("numbers.and", first=first, second=second)


def say_date(day: date) -> str:
    """A date in the order of the style, its month as a name: 3 Mar 2025."""
    month = words.locale().months["format"]["abbreviated"][day.month]
    return words.date_template().format(
        day=day.day, month=month, year=day.year, iso=day.isoformat()
    )


def say_weekday(day: date) -> str:
    """The weekday of a date, as it stands within a sentence: Monday."""
    return str(words.locale().days["format"]["wide"][day.weekday()])


def say_moment(moment: datetime) -> str:
    """A date with the time of day: 16 Nov 2026, 03:12."""
    return words.plain("numbers.moment", date=say_date(moment.date()), time=f"{moment:%H:%M}")


def short_sum(checksum: str) -> str:
    """The first and last figures of a checksum: 3f9a…c1."""
    return f"{checksum[:4]}…{checksum[-2:]}" if len(checksum) > 8 else checksum


def months_between(first: date, last: date) -> int:
    """Months from ``first`` to ``last``, both days included, to the nearest."""
    return round(((last - first).days + 1) / DAYS_PER_YEAR * 12)
