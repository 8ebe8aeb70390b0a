"""Whether a finding reads otherwise than was told, and for how long it has.

A word changes only where the interval decides (hysteresis): an unclear slope keeps the word before
it, a lift leaves a plateau only by more than the plateau's limit. A changed word is told when every
refresh of ``STAND_WEEKS`` training weeks or more (``SUPPORT_STAND_WEEKS`` of a word of support) has
read it; refreshes left out can make that later, never earlier.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from pipeline.findings.news.state import Standing
from pipeline.findings.support import REFUSED

STAND_WEEKS = 4  # training weeks; common practice, no published source
# A word of support sits on a limit for months (a block more, a block less): a quarter of a year,
# with which steady simulated careers get fewer lines. Chosen by us on seeds 0 to 4
# (``python -m tests.recovery.measure_news 5``).
SUPPORT_STAND_WEEKS = 12
RISING, FALLING, STILL = "rising", "falling", "standing still"
SLOPES = ("lift_slope", "muscle_slope")
# Questions whose word of support is told when it changes, with the window told. Slopes are told by
# their side: their support moves with the width of an interval that says the same.
SUPPORTED = {
    "supported_sets": "now",
    "sets_trend": "all",
    "deload_effect": "all",
    "layoff_loss": "all",
    "signal_effect": "all",
    "priority_gain": "all",  # the cost is read with it and would say the same twice
}
SPAN_DAYS = 365  # a plateau lasts a year or more

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Turn:
    """A finding whose word changed for good: the word told before, the new one, since when."""

    finding: Row
    was: str
    is_now: str
    since: date
    weeks: int


def is_watched(row: Row) -> bool:
    """The finding's word is kept from refresh to refresh."""
    if row["question"] in SLOPES:
        return row["window"] == "last"
    return SUPPORTED.get(row["question"]) == row["window"]


def stand_weeks_of(question: str) -> int:
    """Training weeks for which a new word of this question has to stand before it is told."""
    return STAND_WEEKS if question in SLOPES else SUPPORT_STAND_WEEKS


def read_word(row: Row, told: str | None, limit_pct: float) -> str | None:
    """How a finding reads; None where it does not say.

    Parameters
    ----------
    row : of table ``finding``.
    told : the word told last, from which only a clear interval leads away.
    limit_pct : half width of a plateau, % a year.
    """
    if row["question"] not in SLOPES:
        return str(row["support"])
    if row["support"] == REFUSED:
        return None
    low, high, estimate = row["low"], row["high"], row["estimate"]
    is_long = (row["to_date"] - row["from_date"]).days >= SPAN_DAYS
    if is_long and -limit_pct <= low and high <= limit_pct:
        return STILL
    if low <= 0.0 <= high or (told == STILL and abs(estimate) <= limit_pct):
        return None
    return RISING if low > 0.0 else FALLING


def follow(
    before: Standing | None,
    word: str | None,
    last_day: date,
    weeks_since: Callable[[date], int],
    stand_weeks: int,
) -> tuple[Standing, bool]:
    """How the finding stands after this refresh, and whether its word is told now.

    Parameters
    ----------
    word : as ``read_word`` gives it.
    last_day : of the record.
    weeks_since : training weeks of the record after the week of a day.
    stand_weeks : training weeks for which a new word has to stand.
    """
    if before is None:
        return Standing(word, word, last_day), False
    if word is None or word == before.told:
        return Standing(before.told, before.told, last_day), False
    since = before.since if before.seen == word else last_day
    if weeks_since(since) < stand_weeks:
        return Standing(before.told, word, since), False
    return Standing(word, word, since), before.told is not None
