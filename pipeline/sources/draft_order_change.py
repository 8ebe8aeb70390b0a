"""An order of dates that changes within the file, and weekdays alone, which date nothing."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from pipeline.sources.draft_records import Notebook, Readers

LEAST = 3  # dates on each side that can be read in one order only
MOST_ASKED = 6
_ORDERS = ("dmy", "mdy")
_WORDS = {"dmy": "the day first", "mdy": "the month first"}
WEEKDAYS_ONLY = 0.8  # share of lines or cells
_PARTS = re.compile(r"(?<!\d)(\d{1,2})\s*[./\-\s]\s*(\d{1,2})(?!\d)")
_YEAR_FIRST = re.compile(r"\s*\d{4}")
_WEEKDAY = re.compile(
    r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?|mo|di|mi|do|fr|sa|so"
    r"|(?:mon|diens|donners|frei|sams|sonn)tag|mittwoch|sonnabend"
    r"|(?:lun|mar|mercre|jeu|vendre|same)di|dimanche"
    r"|lunes|martes|mi[eé]rcoles|jueves|viernes|s[aá]bado|domingo"
    r"|(?:lune|marte|mercole|giove|vener)d[iì]|sabato|domenica"
    r"|(?:maan|dins|woens|donder|vrij|zater|zon)dag",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class OrderTurn:
    """Dates stand in order ``before``, from the date at place ``at`` on (from 0, among the dates
    of the file), which is written ``expect``, in order ``behind``.
    """

    before: str
    at: int
    expect: str
    behind: str


def find_turn(
    texts: Sequence[str], readers: Readers, year: int | None, book: Notebook
) -> OrderTurn | None:
    """Where the order changes, if the dates before some row can only be read with the day first and
    those behind it only with the month first, or the other way round.

    Dates between the two that either order reads are laid where the file then goes back in time
    least often; asked about where several places do as well.

    Parameters
    ----------
    texts : dates as written, in the order of the file.
    year : the year of dates without one; None: they have it.
    """
    first: dict[int, list[int]] = {0: [], 1: []}
    for at, text in enumerate(texts):
        found = None if _YEAR_FIRST.match(text) else _PARTS.search(text)
        if found is None:
            continue
        is_day = [12 < int(part) <= 31 for part in found.groups()]
        if is_day[0] != is_day[1]:
            first[is_day.index(True)].append(at)
    for before, behind in ((0, 1), (1, 0)):
        one, other = first[before], first[behind]
        if min(len(one), len(other)) >= LEAST and one[-1] < other[0]:
            turns = _turns(
                texts, (one[-1], other[0]), (_ORDERS[before], _ORDERS[behind]), readers, year
            )
            return _choose_turn(turns, texts, (len(one), len(other)), book)
    return None


def _turns(
    texts: Sequence[str],
    between: tuple[int, int],
    orders: tuple[str, str],
    readers: Readers,
    year: int | None,
) -> list[OrderTurn]:
    """The places at which the order may change, without those that make the file less orderly."""
    known = {order: [readers.read_date(text, order, year) for text in texts] for order in orders}
    last, start = between
    way = _direction(known[orders[0]][: last + 1] + known[orders[1]][start:])
    found: list[tuple[int, tuple[date | None, ...], int]] = []
    for at in range(last + 1, start + 1):
        if texts[at] == texts[at - 1]:
            continue
        days = (*known[orders[0]][last:at], *known[orders[1]][at : start + 1])
        dated = [day for day in days if day is not None]
        n_back = sum((two - one).days * way < 0 for one, two in pairwise(dated))
        found.append((n_back + len(days) - len(dated), days, at))
    least = min(found)[0] if found else 0
    alike = {days: at for n_back, days, at in reversed(found) if n_back == least}
    return [OrderTurn(orders[0], at, texts[at], orders[1]) for at in sorted(alike.values())]


def _direction(days: Sequence[date | None]) -> int:
    """1 where the file goes on in time, -1 where the newest comes first."""
    known = [day for day in days if day is not None]
    steps = [(two - one).days for one, two in pairwise(known)]
    return -1 if sum(step < 0 for step in steps) > sum(step > 0 for step in steps) else 1


def _choose_turn(
    turns: list[OrderTurn], texts: Sequence[str], counts: tuple[int, int], book: Notebook
) -> OrderTurn | None:
    if not turns:
        return None
    one = turns[0]
    told = (
        f"{counts[0]} dates down to {texts[one.at - 1]!r} and before can only have "
        f"{_WORDS[one.before]}, {counts[1]} from {one.expect!r} on and behind it only "
        f"{_WORDS[one.behind]}"
    )
    if len(turns) == 1:
        book.note(f"The order of dates changes at {one.expect!r}: {told}.")
        return one
    choices = {f"{turn.behind} from {turn.expect} on, {turn.before} before": turn for turn in turns}
    text = "From which date on do dates stand in the other order?"
    return choices[book.ask("dates.changes", text, list(choices)[:MOST_ASKED], told)]


def are_weekdays(texts: Iterable[str]) -> bool:
    """Whether days are told by the name of the weekday only, which dates nothing.

    >>> are_weekdays(["Monday", "Wed", "Freitag:"]), are_weekdays(["Mon 4 March"])
    (True, False)
    """
    plain = [text.strip(" :.-–#*=_").casefold() for text in texts]
    return bool(plain) and sum(bool(_WEEKDAY.fullmatch(text)) for text in plain) >= (
        WEEKDAYS_ONLY * len(plain)
    )


def has_weekday_lines(lines: Iterable[str]) -> bool:
    """Whether two lines or more are the name of a weekday and nothing else."""
    return sum(are_weekdays([line]) for line in lines if line.strip()) > 1
