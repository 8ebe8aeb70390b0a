"""Priority phases of a record, and the record as their model reads it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipeline.core.calendar import HALF_WEEK
from pipeline.findings.arrays import Record
from pipeline.findings.easing_weekly import find_rest_weeks
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.volume_record import weeks_left_out
from pipeline.models.arrays import Bools
from pipeline.models.priority.ledger import PriorityWeeks
from pipeline.models.priority.windows import Phase


@dataclass(frozen=True)
class ToldPhase:
    """A priority phase of the journal, with its weeks on the record's calendar.

    ``phase`` has the weeks that lie in it with most of their days: one told from Monday to Sunday
    is as many weeks long wherever weeks start.
    """

    event_id: str
    start: date
    end: date
    evidence: str
    phase: Phase


def find_phases(record: Record) -> Iterator[ToldPhase]:
    """Told priority phases that name muscles and lie, at least in part, within the record."""
    told = record.events.filter((pl.col("kind") == "priority") & pl.col("subject").is_not_null())
    for event in told.sort("start", "event_id").iter_rows(named=True):
        end = record.last_day_of("priority", event["start"], event["end"])
        first, last = _main_weeks(record, event["start"], end)
        if first <= last:
            phase = Phase(first, last, tuple(event["subject"].split()))
            yield ToldPhase(event["event_id"], event["start"], end, event["evidence"], phase)


def _main_weeks(record: Record, start: date, end: date) -> tuple[int, int]:
    """First and last week of the record with most of their days in the span; a span of some days,
    and one that reaches the record's end, keep the week that they lie in."""
    first, last = record.week_of(start + HALF_WEEK), record.week_of(end - HALF_WEEK)
    if end >= record.last_day:
        last = record.n_weeks - 1
    if first > last:
        first = last = record.week_of(start + (end - start) // 2)
    return max(first, 0), min(last, record.n_weeks - 1)


def ordinary_weeks(record: Record) -> Bools:
    """(n_weeks,) logged training weeks: no deload, no layoff, no week of rest."""
    ordinary = record.trained & ~record.weeks_within("deload", "layoff")
    ordinary[find_rest_weeks(record)] = False
    return ordinary


def read_weeks(
    record: Record, fitted: Mapping[str, IndexWeeks], muscles: Iterable[str]
) -> PriorityWeeks:
    """The weekly arrays of these muscles, which have an index."""
    names = list(muscles)
    return PriorityWeeks(
        level_log={name: fitted[name].level_log for name in names},
        weekly_sets={name: record.weekly_sets[name] for name in names},
        left_out={name: weeks_left_out(record, name) for name in names},
        is_trained=ordinary_weeks(record),
        training_age_years=record.training_age,
    )
