"""The order of day, month and year in a file, with the evidence for it."""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from pipeline.core.errors import InputError
from pipeline.core.source import OrderChange
from pipeline.sources.draft_cells import Column
from pipeline.sources.draft_order_change import OrderTurn, find_turn
from pipeline.sources.draft_records import Notebook, Readers

ORDERS = ("dmy", "mdy", "ymd")
ORDER_WORDS = {"dmy": "day, month, year", "mdy": "month, day, year", "ymd": "year, month, day"}
LEAST_READ = 0.9  # share of the cells that an order has to read
CLEARLY = 0.02  # share of the lines by which the best order has to lead, or two lines
_TIME = re.compile(r"[T ,]+\d{1,2}:\d{2}.*$")
_MOMENT = re.compile(r"[1-9]\d{9}(?:\d{3})?(?:\.\d+)?", re.ASCII)
_LONG_YEAR = re.compile(r"(?<!\d)\d{4}(?!\d)")
_LETTERS = re.compile(r"[^\W\d_]{3,}")
PLACES = ("1", "2", "3")


@dataclass(frozen=True)
class DateFinding:
    """``order`` of the parts; ``year_from`` is "file name" where the rows lack the year, and
    ``first_year`` that of the earliest date and ``first_day`` that of week 1 where they were
    answered. ``turn`` says among the dates
    where another order begins, ``changes`` in which rows.
    """

    order: str
    year_from: str | None
    first_year: int | None = None
    first_day: date | None = None
    turn: OrderTurn | None = None
    changes: tuple[OrderChange, ...] = ()


@dataclass(frozen=True)
class _Trial:
    """How well one order reads the column."""

    order: str
    n_read: int
    n_back: int

    @property
    def rank(self) -> tuple[int, int]:
        return self.n_read, -self.n_back


def find_dates(
    column: Column,
    readers: Readers,
    book: Notebook,
    year: int | None,
    file: str,
    source: str = "file name",
) -> DateFinding:
    """Order of the dates in ``column``; asked about where the file does not settle it.

    Parameters
    ----------
    year : the one of dates without a year, if anything tells it.
    source : what tells it: "file name" or "sheet".

    Raises
    ------
    InputError
        when the rows lack the year and nothing else tells it.
    """
    texts = [_TIME.sub("", text) for text in column.cells]
    lacks_year = _lacks_year(texts, readers)
    if lacks_year and year is None:
        remedy = "write the year in the dates, or put it into the file's name"
        raise InputError(file, None, f"dates such as {texts[0]!r} lack the year", remedy)
    year_from = source if lacks_year else None
    if lacks_year:
        teller = "the file's name" if source == "file name" else "the name of the first sheet"
        book.note(f"The dates lack the year; {teller} gives {year}.")
    if all(_MOMENT.fullmatch(text) for text in texts):
        day = readers.read_date(texts[0], "ymd", None)
        book.note(
            f"Dates are counted since 1970, such as {texts[0]!r} for {day}. The day is that of "
            "UTC: a session near midnight there may belong to the day beside."
        )
        return DateFinding("ymd", year_from)
    if _is_named(texts):
        book.note(f"Months are written as names, such as {texts[0]!r}: no order can be mistaken.")
        return DateFinding("dmy", year_from)
    if all(re.match(r"\d{4}", text) for text in texts):
        book.note(f"Dates begin with the year, such as {texts[0]!r}: year, month, day.")
        return DateFinding("ymd", year_from)
    turn = find_turn(texts, readers, year if lacks_year else None, book)
    if turn is not None:
        return DateFinding(turn.before, year_from, turn=turn)
    return DateFinding(order_of(texts, readers, book, year if lacks_year else None), year_from)


def _lacks_year(texts: list[str], readers: Readers) -> bool:
    """Most cells are days only once a year is supplied."""
    without = sum(n for text, n in Counter(texts).items() if not _reads(text, readers, None))
    with_year = sum(n for text, n in Counter(texts).items() if _reads(text, readers, 2000))
    return with_year - (len(texts) - without) > len(texts) / 2


def _reads(text: str, readers: Readers, year: int | None) -> bool:
    return any(readers.read_date(text, order, year) is not None for order in ORDERS)


def _is_named(texts: list[str]) -> bool:
    named = sum(bool(_LETTERS.search(text)) for text in texts)
    return named >= LEAST_READ * len(texts) and not any(
        len(re.findall(r"\d+", text)) > 2 for text in texts[:50]
    )


def order_of(texts: list[str], readers: Readers, book: Notebook, year: int | None) -> str:
    """Order of the numbers in ``texts``; ``year`` is that of dates without one."""
    orders = ORDERS[:2] if _has_long_year(texts) or year is not None else ORDERS
    trials = sorted(
        (_try_order(order, texts, readers, year) for order in orders),
        key=lambda trial: trial.rank,
        reverse=True,
    )
    best, second = trials[0], trials[1]
    need = max(2, CLEARLY * len(texts))
    evidence = _tell_positions(texts)
    if best.n_read - second.n_read >= need and second.n_read < LEAST_READ * best.n_read:
        book.note(f"Dates are {ORDER_WORDS[best.order]}: {evidence}.")
        _tell_unread(best, texts, book)
        return best.order
    if best.n_read - second.n_read >= 1 and second.n_back > best.n_back:
        book.note(
            f"Dates are {ORDER_WORDS[best.order]}: {evidence}; read as "
            f"{ORDER_WORDS[second.order]} they would also go back in time {second.n_back} times."
        )
        return best.order
    return _ask_order(best, second, evidence, book)


def _ask_order(best: _Trial, second: _Trial, evidence: str, book: Notebook) -> str:
    why = (
        f"{evidence}; as {ORDER_WORDS[best.order]} the lines go back in time {best.n_back} times, "
        f"as {ORDER_WORDS[second.order]} {second.n_back} times"
    )
    choices = (best.order, second.order)
    return book.ask("dates.order", "In which order are the dates written?", choices, why)


def _has_long_year(texts: list[str]) -> bool:
    return sum(bool(_LONG_YEAR.search(text)) for text in texts) > len(texts) / 2


def _try_order(order: str, texts: list[str], readers: Readers, year: int | None) -> _Trial:
    known: dict[str, date | None] = {
        text: readers.read_date(text, order, year) for text in set(texts)
    }
    days = [day for text in texts if (day := known[text]) is not None]
    return _Trial(order, len(days), sum(after < before for before, after in pairwise(days)))


def _tell_positions(texts: list[str]) -> str:
    """``day 23 in position 1 on 41 lines``: numbers that can be a day only, by place."""
    parts = [re.findall(r"\d+", text)[:3] for text in texts]
    told = []
    for place, name in enumerate(PLACES):
        values = [int(one[place]) for one in parts if len(one) > place]
        days = [value for value in values if 12 < value <= 31]
        if days and len(days) < len(values) and max(values) <= 31:
            lines = "1 line" if len(days) == 1 else f"{len(days)} lines"
            most = Counter(days).most_common(1)[0][0]
            told.append(f"a number above 12, such as day {most}, in position {name} on {lines}")
    return " and ".join(told) or "no number above 12 tells the day from the month"


def _tell_unread(best: _Trial, texts: list[str], book: Notebook) -> None:
    if best.n_read < len(texts):
        book.note(
            f"{len(texts) - best.n_read} of {len(texts)} dates cannot be read as "
            f"{ORDER_WORDS[best.order]}; those lines will be set aside with the reason."
        )
