"""What the lifter wants and may not do: settings, phases of the journal that go on, complaints."""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.next_phase import NextPhase
from pipeline.findings.arrays import Record
from pipeline.findings.injuries.constraints import NAMED
from pipeline.findings.injuries.spans import Injury, find_injuries, lifts_that_strain

# Where one region does not tell what is hurt.
SOME_INJURY = "injury"
UNWANTED, INJURED = "left out at your wish", "an open injury rules it out"


@dataclass(frozen=True)
class Wishes:
    """Wishes with everything decided that the settings leave open.

    Attributes
    ----------
    priorities, hold : muscles.
    spared : what an open injury hurts, by muscle that a lift trains directly which the journal
        names as out for it; they get no more sets while it lasts.
    loading : the region to be spared for an open injury, by lift that loads it some or much: such a
        lift is not taken to failure.
    careful : those of them that are neither out nor kept: they get no more sets than now while it
        lasts, and none is brought in.
    keep : lifts. out : why each lift that is not to be done is out.
    unknown : ids in the settings that are neither a muscle nor a lift with muscles.
    weeks, weekly_increase : of the phase.
    """

    priorities: frozenset[str]
    hold: frozenset[str]
    spared: Mapping[str, str]
    loading: Mapping[str, str]
    careful: frozenset[str]
    keep: frozenset[str]
    out: dict[str, str]
    unknown: tuple[str, ...]
    weeks: int
    weekly_increase: float


def read_wishes(
    record: Record, muscle_ids: list[str], constraints: pl.DataFrame, thresholds: dict[str, float]
) -> Wishes:
    """The wishes in force on the last day of the record.

    Where the settings name no muscle, phases of the journal that still go on do: what was accepted
    before stays in force. ``constraints`` is ``model_constraint``.
    """
    asked = record.lifter.next_phase
    muscles = set(muscle_ids)
    told = {
        "priority": asked.priorities or _going_on(record, "priority"),
        "hold": asked.hold or _going_on(record, "hold"),
    }
    out = dict.fromkeys(asked.lifts_out, UNWANTED)
    out |= dict.fromkeys(constraints["exercise_id"], INJURED)
    kept = frozenset(asked.keep).intersection(record.muscles_of)
    priorities = muscles.intersection(told["priority"])
    injuries = [one for one in find_injuries(record) if not one.end]
    loading = _loading(record, injuries)
    return Wishes(
        frozenset(priorities),
        frozenset(muscles.intersection(told["hold"]) - priorities),
        _spared(record, constraints, injuries),
        loading,
        frozenset(loading) - out.keys() - kept,
        kept,
        out,
        _unknown(record, asked, muscles),
        asked.weeks or round(thresholds["next_phase_weeks"]),
        thresholds["weekly_increase"] if asked.weekly_increase is None else asked.weekly_increase,
    )


def _spared(record: Record, constraints: pl.DataFrame, injuries: list[Injury]) -> dict[str, str]:
    """What is hurt, by muscle of a lift that the journal names as out."""
    hurt = {one.event_id: one.regions for one in injuries}
    named = constraints.filter(pl.col("reason") == NAMED).select("exercise_id", "event_id")
    return {
        muscle: _say(hurt.get(event_id, ()))
        for lift, event_id in named.iter_rows()
        for muscle in record.muscles_of.get(lift, ((), ()))[0]
    }


def _loading(record: Record, injuries: list[Injury]) -> dict[str, str]:
    """The region of an open injury that each lift loads; of several the first by name."""
    regions = sorted({region for one in injuries for region in one.regions}, reverse=True)
    return {
        lift: _say((region,))
        for region in regions
        for lift in lifts_that_strain(record, (region,), "some", "much")
    }


def _say(regions: tuple[str, ...]) -> str:
    """The one region, or an injury of none or several."""
    return regions[0].replace("_", " ") if len(regions) == 1 else SOME_INJURY


def _unknown(record: Record, asked: NextPhase, muscles: set[str]) -> tuple[str, ...]:
    lifts = set(record.muscles_of)
    named = [one for one in (*asked.priorities, *asked.hold) if one not in muscles]
    return (*named, *(one for one in (*asked.keep, *asked.lifts_out) if one not in lifts))


def _going_on(record: Record, kind: str) -> tuple[str, ...]:
    """Muscles of the phases of a kind that had not ended on the last day."""
    events = record.events.filter(
        (pl.col("kind") == kind)
        & (pl.col("start") <= record.last_day)
        & (pl.col("end").is_null() | (pl.col("end") > record.last_day))
    )
    return tuple(one for text in events["subject"].drop_nulls() for one in text.split())
