"""Lifts around an injury: what it took out, what carried the pattern meanwhile, the way back."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record, column
from pipeline.findings.index_weeks import IndexWeeks, read_weeks
from pipeline.findings.injuries.spans import Injury, LiftWeeks, lifts_that_strain
from pipeline.models.arrays import Bools
from pipeline.models.injury.course import Change, last_weeks, measure_change, weeks_to_level

COVERAGE = 0.95
# Common practice, no published source: a lift is out when a tenth of its sets or less is left, has
# risen by one weekly set or more; a level before is that of four weeks, the first weeks back two.
LEFT_OVER, RISE_SETS, LEVEL_WEEKS, FIRST_BACK = 0.1, 1.0, 4, 2


@dataclass(frozen=True)
class WayBack:
    """How a lift came back: weeks from the injury's end to its first set, level on return against
    before (None where a level is not known), weeks from the first set to the old level (None: not
    seen), mean sets and heaviest load of the first two weeks against before, as ratios."""

    weeks_away: int
    on_return: Change | None
    weeks_to_level: int | None
    sets_ratio: float | None
    load_ratio: float | None


@dataclass(frozen=True)
class LiftCourse:
    """One lift that was out, or that rose meanwhile: weekly sets before, during and, where it came
    back, its way."""

    exercise_id: str
    role: str
    how: str
    sets_before: float
    sets_during: float
    back: WayBack | None = None


def follow_lifts(
    record: Record, injury: Injury, weeks: LiftWeeks, levels: pl.DataFrame
) -> list[LiftCourse]:
    """Lifts that were out and those that took their place, most sets before (or during) first."""
    out = [
        LiftCourse(
            lift,
            "out",
            "told" if injury.named else "found",
            weeks.mean(lift, injury.before),
            weeks.mean(lift, injury.during),
            _way_back(record, injury, weeks, levels, lift),
        )
        for lift in _lifts_out(record, injury, weeks)
    ]
    out.sort(key=lambda one: (-one.sets_before, one.exercise_id))
    return out + list(_substitutes(record, injury, weeks, {one.exercise_id for one in out}))


def _lifts_out(record: Record, injury: Injury, weeks: LiftWeeks) -> list[str]:
    """Those named that were done in the quarter before; where none is named, those done then that
    strain the region and all but stopped."""
    done = [lift for lift in weeks.sets if weeks.mean(lift, injury.before) > 0]
    if injury.named:
        return [lift for lift in done if lift in injury.named]
    straining = lifts_that_strain(record, injury.regions, "some", "much")
    return [
        lift
        for lift in done
        if lift in straining
        and injury.during.any()
        and weeks.mean(lift, injury.during) <= LEFT_OVER * weeks.mean(lift, injury.before)
    ]


def _substitutes(
    record: Record, injury: Injury, weeks: LiftWeeks, out: set[str]
) -> Iterator[LiftCourse]:
    """Lifts that rose and directly train a muscle that a lift that was out trains directly."""
    muscles = {one for lift in out for one in record.muscles_of.get(lift, ((), ()))[0]}
    found = []
    for lift in weeks.sets:
        before, during = weeks.mean(lift, injury.before), weeks.mean(lift, injury.during)
        is_like = not muscles.isdisjoint(record.muscles_of.get(lift, ((), ()))[0])
        if lift not in out and is_like and during - before >= RISE_SETS:
            found.append(LiftCourse(lift, "substitute", "found", before, during))
    return iter(sorted(found, key=lambda one: (one.sets_before - one.sets_during, one.exercise_id)))


def _way_back(
    record: Record, injury: Injury, weeks: LiftWeeks, levels: pl.DataFrame, lift: str
) -> WayBack | None:
    """The way back of a lift after an injury that ended; None before it came back."""
    after = np.flatnonzero(weeks.sets[lift][injury.last + 1 :] > 0)
    if injury.end is None or not after.size:
        return None
    first = injury.last + 1 + int(after[0])
    level = read_weeks(record, levels.filter(pl.col("exercise_id") == lift))
    at = np.arange(record.n_weeks)
    before = last_weeks(level.is_trained & (at < injury.first), LEVEL_WEEKS)
    on_return = measure_change(level.level_log, level.se, before, at == first, COVERAGE)
    is_known = isinstance(on_return, Change)
    usual = weeks.mean(lift, injury.before)
    back = (at >= first) & (at < first + FIRST_BACK)
    return WayBack(
        weeks_away=first - injury.last - 1,
        on_return=on_return if isinstance(on_return, Change) else None,
        weeks_to_level=_weeks_to_old(level, before, first) if is_known else None,
        sets_ratio=weeks.mean(lift, back) / usual if usual > 0 else None,
        load_ratio=_load_ratio(record, lift, injury, first),
    )


def _weeks_to_old(level: IndexWeeks, before: Bools, first: int) -> int | None:
    old = float(np.nanmean(level.level_log[before]))
    return weeks_to_level(level.level_log, level.is_trained, old, first)


def _load_ratio(record: Record, lift: str, injury: Injury, first: int) -> float | None:
    """Heaviest load of the first weeks back over the heaviest of the quarter before."""
    sets = record.strength_sets.filter(pl.col("exercise_id") == lift)
    week, load = sets["week"].to_numpy(), column(sets, "load_moved_kg")
    before = load[injury.before[week]]
    back = load[(week >= first) & (week < first + FIRST_BACK)]
    return float(back.max() / before.max()) if before.size and back.size else None
