"""The findings and phases that the page Priorities tells of, and how they are named."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Text
from dashboards.numbers import join_names, signed
from dashboards.prepare.easing import find_answer, tone_of
from dashboards.prepare.heads import heads_of
from dashboards.prepare.names import muscle_names
from dashboards.told import told
from pipeline.core.page_book import PageBook

Row = dict[str, Any]
GAIN, COST = "priority_gain", "priority_cost"
# Verdicts of an estimate as the charts colour them: clearly more, clearly less, either way.
VERDICTS = {"progress": 0, "loss": 1, "": 3}
# An interval of fewer points is told with two decimals.
NARROW = 2.0
SUPPORT_ORDER = ("not enough", "thin", "fair", "firm")

heads = partial(heads_of, "priorities")


@dataclass(frozen=True)
class Phase:
    """One told phase: its event, its two findings, and every muscle through it (``model_priority``,
    without rows where it was refused)."""

    event: Row
    gain: Row
    cost: Row | None
    muscles: pl.DataFrame
    name: str

    @property
    def is_told(self) -> bool:
        """Whether it could be read."""
        return self.gain["estimate"] is not None

    @property
    def start(self) -> date:
        return self.gain["from_date"]  # type: ignore[no-any-return]

    @property
    def end(self) -> date:
        return self.gain["to_date"]  # type: ignore[no-any-return]

    @property
    def weeks(self) -> int:
        """Weeks that it lasted, to the nearest."""
        return max(1, round(((self.end - self.start).days + 1) / 7))

    def mean_sets(self, field: str) -> float | None:
        """Weekly sets of the chosen muscles, usual or in the phase: the mean of them."""
        return self.muscles.filter(pl.col("role") == "chosen")[field].mean()  # type: ignore[return-value]

    @property
    def support(self) -> str:
        """The weaker support of the two findings."""
        both = [self.gain["support"], *([self.cost["support"]] if self.cost else [])]
        return min(both, key=SUPPORT_ORDER.index)


def questions_of(book: PageBook, lifter_id: str, question: str) -> pl.DataFrame:
    """Every finding of one question, in the order they were found."""
    findings = book.tables["finding"]
    return findings.filter((pl.col("lifter_id") == lifter_id) & (pl.col("question") == question))


def own(book: PageBook, lifter_id: str, table: str) -> pl.DataFrame:
    """One lifter's rows of a table."""
    return book.tables[table].filter(pl.col("lifter_id") == lifter_id)


def find_all(book: PageBook, lifter_id: str) -> tuple[Row | None, Row | None]:
    """What all phases together bought, and what they cost."""
    return find_answer(book, lifter_id, GAIN), find_answer(book, lifter_id, COST)


def list_phases(book: PageBook, lifter_id: str) -> list[Phase]:
    """Told phases with their findings, latest first."""
    events = {
        row["event_id"]: row
        for row in own(book, lifter_id, "tidy_event")
        .filter(pl.col("kind") == "priority")
        .iter_rows(named=True)
    }
    costs = _by_event(questions_of(book, lifter_id, COST))
    of_phases = own(book, lifter_id, "model_priority").filter(~pl.col("is_placebo"))
    names = muscle_names(book)
    phases = [
        Phase(
            events[event_id],
            gain,
            costs.get(event_id),
            of_phases.filter(pl.col("event_id") == event_id),
            say_muscles(events[event_id]["subject"], names),
        )
        for event_id, gain in _by_event(questions_of(book, lifter_id, GAIN)).items()
        if event_id in events
    ]
    return sorted(phases, key=lambda one: (one.start, one.event["event_id"]), reverse=True)


def _by_event(findings: pl.DataFrame) -> dict[str, Row]:
    rows = findings.filter(pl.col("subject").str.starts_with("event:")).iter_rows(named=True)
    return {row["subject"].removeprefix("event:"): row for row in rows}


def say_muscles(subject: str | None, names: Mapping[str, str]) -> str:
    """Calves, hamstrings and glutes."""
    listed = join_names(names.get(one, one.replace("_", " ")) for one in (subject or "").split())
    return listed[:1].upper() + listed[1:]


def say_months(start: date, end: date) -> str:
    """Jun to Oct 2025."""
    names = words.locale().months["format"]["abbreviated"]
    first, last = names[start.month], names[end.month]
    key = "same_month" if (start.year, start.month) == (end.year, end.month) else "same_year"
    key = key if start.year == end.year else "other_year"
    return words.plain(
        f"priorities.{key}", first=first, last=last, year=start.year, last_year=end.year
    )


def verdict_of(low: float | None, high: float | None) -> int:
    """The verdict of an interval, as charts colour it."""
    return VERDICTS[tone_of(low, high)]


def say_numbers(value: float, low: float, high: float) -> tuple[str, str]:
    """A change and its interval: two decimals where the interval is narrow or ends near zero."""
    is_near_zero = min(abs(low), abs(high)) < 0.05
    decimals = 2 if high - low < NARROW or is_near_zero else 1
    ends = words.plain("numbers.interval", low=signed(low, decimals), high=signed(high, decimals))
    return signed(value, decimals), ends


def estimate_cells(value: float | None, low: float | None, high: float | None) -> tuple[Text, str]:
    """Two cells: a change, in colour where its interval excludes zero, and the interval."""
    if value is None or low is None or high is None:
        return "", ""
    number, ends = say_numbers(value, low, high)
    tone = tone_of(low, high)
    return words.say("priorities.toned", tone=tone, value=number) if tone else number, ends


def say_support(found: Row | None) -> Text:
    """The word, with its reason where nothing could be told."""
    if found is None:
        return ""
    if found["estimate"] is not None:
        return told(found["support"])
    return words.say("priorities.reason", why=told(found["support_why"]))
