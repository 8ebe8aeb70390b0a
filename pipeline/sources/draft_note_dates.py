"""Dates of notes whose map is being drafted: their order, and where the year comes from."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import pairwise

from pipeline.core.errors import InputError, SettingsError
from pipeline.core.source import FILE_NAME, OrderChange, RawFile
from pipeline.sources.draft_dates import ORDER_WORDS, ORDERS, DateFinding, order_of
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_order_change import find_turn
from pipeline.sources.draft_records import Notebook, NotesLike, Readers

LEAST_WEEKDAYS = 2
LEAST_WEEKS = 2  # titles that number a week or a day
FITTING = 0.9  # share of weekdays that agree
MOST_FITTING = 12  # first years: more than these fit where no weekdays are written
MOST_FORMS = 3
LEAP_YEAR = 2000
RUN_TOGETHER = "NNYY or YYNN"  # the form of dates such as 180108
MOST_YEARS = 8
_YEAR_FIRST = re.compile(r"\d\d\D+\d\d?\D+\d\d")


class NoNotesError(InputError):
    """The file has no dates or no sets on its lines: it is no notes."""


def find_note_dates(
    raw: RawFile, table: LooseTable, readers: Readers, book: Notebook
) -> tuple[DateFinding, RawFile]:
    """Order of the dates and where the year comes from; the lines with a map that knows both.

    Raises
    ------
    InputError
        when nothing tells the year, or no line and no name is a date (``NoNotesError``).
    """
    tried = {order: readers.survey_notes(_ordered(raw, order)) for order in ("dmy", "mdy", "ymd")}
    most = max(tried.values(), key=lambda seen: sum(n for n, _ in seen.forms.values()))
    if not most.forms and not any("date" in str(label).lower() for t in most.tables for label in t):
        try:
            return _from_file_name(raw, table, book)
        except NoNotesError:
            if len(most.weeks) < LEAST_WEEKS:
                raise
        day = _first_day(most.weeks, table, book)
        return DateFinding("ymd", None, first_day=day), replace(
            raw, map=replace(raw.map, first_day=day)
        )
    forms = [f"{n} date lines as in {example!r}" for n, example in most.forms.values()]
    book.note(f"Notes of {raw.frame.height} lines: {', '.join(forms[:MOST_FORMS])}.")
    order = "ymd"
    if most.numeric:
        by_weekday = _order_by_weekdays(tried, book)
        is_apart = any(not form.startswith(RUN_TOGETHER) for form in most.forms)
        year = LEAP_YEAR if is_apart else None  # six digits may also begin with the year
        is_open = by_weekday is None and is_apart
        turn = find_turn(most.numeric, readers, LEAP_YEAR, book) if is_open else None
        if turn is not None:
            change = OrderChange(most.numeric_rows[turn.at], turn.expect, turn.behind)
            raw = replace(raw, map=replace(raw.map, order_changes=(change,)))
            tried[turn.before] = readers.survey_notes(_ordered(raw, turn.before))
            by_weekday = turn.before
        by_weekday = by_weekday or (None if is_apart else _order_of_six(tried, book))
        order = by_weekday or order_of(_forward(most.numeric, readers, year), readers, book, year)
    elif most.forms:
        book.note("The dates begin with the year or name the month: no order can be mistaken.")
    raw = _ordered(raw, order)
    seen = tried[order]
    if seen.n_lacking < sum(n for n, _ in seen.forms.values()) or not seen.forms:
        return DateFinding(order, None, changes=raw.map.order_changes), raw
    dates, raw = _find_year(seen, raw, table, order, book)
    return replace(dates, changes=raw.map.order_changes), raw


def _order_by_weekdays(tried: Mapping[str, NotesLike], book: Notebook) -> str | None:
    """The only order in which dates fall on the weekdays beside them."""
    fitting = [
        order
        for order, seen in tried.items()
        if order != "ymd" or any(_YEAR_FIRST.fullmatch(text) for text in seen.numeric)
        if _fits_weekdays(seen)
    ]
    if len(fitting) != 1:
        return None
    seen = tried[fitting[0]]
    told = f"{seen.n_agreeing} of {seen.n_weekdays}" if seen.n_weekdays else "all"
    book.note(
        f"Dates are {ORDER_WORDS[fitting[0]]}: so {told} fall on the weekday beside them, in no "
        "other order."
    )
    return fitting[0]


def _order_of_six(tried: Mapping[str, NotesLike], book: Notebook) -> str | None:
    """The only order in which six digits that run together are days that go on in time."""
    fitting = [order for order, seen in tried.items() if seen.forms]
    if len(fitting) != 1:
        return None
    example = tried[fitting[0]].numeric[0].replace("-", "")
    book.note(
        f"Six digits such as {example!r} are {ORDER_WORDS[fitting[0]]}: in no other order do the "
        "lines go on in time."
    )
    return fitting[0]


def _fits_weekdays(seen: NotesLike) -> bool:
    if seen.n_weekdays >= LEAST_WEEKDAYS:
        return seen.n_agreeing >= FITTING * seen.n_weekdays
    return 0 < len(seen.years) < MOST_FITTING


def _ordered(raw: RawFile, order: str) -> RawFile:
    return replace(raw, map=replace(raw.map, date_order=order))


def _forward(texts: tuple[str, ...], readers: Readers, year: int | None) -> list[str]:
    """The dates in the direction in which they go on in time."""
    orders = ORDERS if year is None else ORDERS[:2]

    def back(some: list[str]) -> int:
        return min(_backward(some, order, readers) for order in orders)

    there, back_again = list(texts), list(texts)[::-1]
    return there if back(there) <= back(back_again) else back_again


def _backward(texts: list[str], order: str, readers: Readers) -> int:
    days = [readers.read_date(text, order, LEAP_YEAR) for text in texts]
    known = [day for day in days if day is not None]
    unread = len(days) - len(known)
    return unread + sum(two < one for one, two in pairwise(known))


def _find_year(
    seen: NotesLike, raw: RawFile, table: LooseTable, order: str, book: Notebook
) -> tuple[DateFinding, RawFile]:
    """The year of dates that nothing in the file tells.

    Raises
    ------
    InputError
        when the file's name has none and none was answered.
    """
    answer = book.answer_to("dates.first_year")
    if answer is not None:
        year = _answered_year(answer)
        book.note(f"dates.first_year = {year}: as answered.")
        return DateFinding(order, None, year), _first(raw, year)
    named = _year_in(table)
    if named is not None:
        book.note(f"The dates lack the year; the file's name gives {named} for the earliest.")
        return DateFinding(order, "file name"), _first(raw, named)
    example = next(iter(seen.forms.values()))[1]
    remedy = (
        "write the year above the dates or into the file's name, or answer with the year of the "
        "earliest date: --answer dates.first_year=2019"
    )
    if 0 < len(seen.years) <= MOST_YEARS:
        remedy += f"; the weekdays written fit {', '.join(map(str, seen.years))}"
    raise InputError(table.source.path, None, f"dates such as {example!r} lack the year", remedy)


def _year_in(table: LooseTable) -> int | None:
    """The earliest year in the file's name, else in its nearest folder's."""
    for part in reversed(table.source.path.split("/")):
        if years := re.findall(r"(?<!\d)(?:19[5-9]\d|20\d\d)(?!\d)", part):
            return min(map(int, years))
    return None


def _first_day(weeks: tuple[str, ...], table: LooseTable, book: Notebook) -> date:
    """The day on which week 1 began, as answered.

    Raises
    ------
    InputError
        when it was not: nothing else tells it.
    """
    answer = book.answer_to("dates.first_day")
    if answer is None:
        value = f"{len(weeks)} titles such as {weeks[0]!r} number weeks and days, and date nothing"
        remedy = (
            "answer with the day on which week 1 began: --answer dates.first_day=2019-03-04; all "
            "dates are then counted from it, and flagged as such"
        )
        raise InputError(table.source.path, None, value, remedy)
    try:
        day = date.fromisoformat(answer)
    except ValueError:
        raise SettingsError(
            f"answer dates.first_day = {answer!r}: write a day such as 2019-03-04"
        ) from None
    book.note(
        f"dates.first_day = {day}: as answered; {len(weeks)} titles such as {weeks[0]!r} get their "
        "day from it."
    )
    return day


def _answered_year(text: str) -> int:
    if not re.fullmatch(r"(?:19|20)\d\d", text):
        raise SettingsError(f"answer dates.first_year = {text!r}: write a year such as 2019")
    return int(text)


def with_year_in_name(raw: RawFile, table: LooseTable) -> RawFile:
    """The lines with the year in the file's name for the earliest date, where it has one."""
    year = _year_in(table)
    return raw if year is None else _first(raw, year)


def _first(raw: RawFile, year: int) -> RawFile:
    return replace(raw, map=replace(raw.map, first_year=year))


def _from_file_name(raw: RawFile, table: LooseTable, book: Notebook) -> tuple[DateFinding, RawFile]:
    """The whole file is one day, named by the file.

    Raises
    ------
    InputError
        when its name is no day either.
    """
    stem = table.source.stem
    if not re.search(r"(?:19|20)\d\d\D?\d\d\D?\d\d|\d\d\D\d\d\D(?:19|20)?\d\d", stem):
        remedy = "write the day above its exercises, such as 2019-03-05, or into the file's name"
        raise NoNotesError(table.source.path, None, "no line is a date", remedy)
    book.note(f"No line is a date; the file's name {stem!r} is the day.")
    order = "ymd" if re.search(r"(?:19|20)\d\d\D?\d\d\D?\d\d", stem) else "dmy"
    named = replace(raw.map, columns={"date": FILE_NAME}, date_order=order)
    return DateFinding(order, None), replace(raw, map=named)
