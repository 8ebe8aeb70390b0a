"""The injuries of a record as spans of weeks, and who trained what around them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record
from pipeline.models.arrays import Bools, Floats

# What was usual before an injury, and what its lifts did on their way back: weeks. Common practice,
# no published source.
BEFORE_WEEKS = 13
LEAST_BEFORE = 4


@dataclass(frozen=True)
class Injury:
    """One injury on the record's weeks.

    Attributes
    ----------
    event_id, start, end, evidence, note : as in ``tidy_event``; ``end`` None while it goes on.
    regions, named : regions to be spared, lifts that the journal names as out.
    first, last : its first and last week on the record, both included.
    before, during : (n_weeks,) trained weeks of the quarter before it, and within it.
    """

    event_id: str
    start: date
    end: date | None
    evidence: str
    note: str | None
    regions: tuple[str, ...]
    named: tuple[str, ...]
    first: int
    last: int
    before: Bools
    during: Bools

    @property
    def weeks(self) -> int:
        """Weeks of the record that it lasted."""
        return self.last - self.first + 1

    @property
    def what(self) -> str:
        """What to call it at the start of a sentence."""
        regions = " and ".join(one.replace("_", " ") for one in self.regions)
        return f"{regions} complaint".strip().capitalize()


@dataclass(frozen=True)
class LiftWeeks:
    """Weekly sets of every lift."""

    record: Record

    @cached_property
    def sets(self) -> dict[str, Floats]:
        """(n_weeks,) counted sets by lift."""
        counts = self.record.counted.group_by("exercise_id", "week").len().sort("exercise_id")
        found: dict[str, Floats] = {}
        for lift, week, sets in counts.rows():
            found.setdefault(lift, np.zeros(self.record.n_weeks))[week] = sets
        return found

    def mean(self, lift: str, weeks: Bools) -> float:
        """Mean weekly sets of a lift over these weeks; 0 over none."""
        own = self.sets.get(lift)
        return 0.0 if own is None or not weeks.any() else float(own[weeks].mean())


def find_injuries(record: Record) -> Iterator[Injury]:
    """Injuries that touch the record, in order of start."""
    told = record.events.filter(pl.col("kind") == "injury").sort("start", "event_id")
    for event in told.iter_rows(named=True):
        first = record.week_of(event["start"])
        last = record.week_of(record.last_day_of("injury", event["start"], event["end"]))
        first, last = max(first, 0), min(last, record.n_weeks - 1)
        if last < first:
            continue
        week = np.arange(record.n_weeks)
        is_open = event["end"] is None or event["end"] > record.last_day
        yield Injury(
            event_id=event["event_id"],
            start=event["start"],
            end=None if is_open else event["end"],
            evidence=event["evidence"],
            note=event["note"],
            regions=tuple((event["regions"] or "").split()),
            named=tuple((event["lifts_out"] or "").split()),
            first=first,
            last=last,
            before=record.trained & (week >= first - BEFORE_WEEKS) & (week < first),
            during=record.trained & (week >= first) & (week <= last),
        )


def lifts_that_strain(record: Record, regions: tuple[str, ...], *words: str) -> set[str]:
    """Exercises of the reference that load one of these regions by one of ``words``."""
    known = [one for one in regions if one in record.exercises.columns]
    if not known:
        return set()
    hit = pl.any_horizontal(pl.col(one).is_in(words) for one in known)
    return set(record.exercises.filter(hit)["exercise_id"])
