"""Dates that no map can read: an order that changes within the file, and weekdays alone."""

import re
from collections.abc import Iterable, Sequence

from pipeline.core.errors import InputError

LEAST = 3  # dates on each side that can be read in one order only
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


def refuse_change(texts: Sequence[str], file: str) -> None:
    """Refuse dates of which those before some row have the day first and those behind it the month
    first, or the other way round: the rest of them would be read wrongly without a word.

    Parameters
    ----------
    texts : dates as written, in the order of the file.

    Raises
    ------
    InputError
        naming the first date in the other order.
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
            words = ("the day first", "the month first")
            value = (
                f"dates with {words[before]} down to {texts[one[-1]]!r}, with {words[behind]} from "
                f"{texts[other[0]]!r} on"
            )
            remedy = "split the file where the order changes, a map with its dates.order for each"
            raise InputError(file, None, value, remedy)


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
