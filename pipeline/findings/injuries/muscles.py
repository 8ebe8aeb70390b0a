"""Muscles through an injury: what was left of their sets, and what their index did meanwhile."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.injuries.lifts import COVERAGE, LEVEL_WEEKS, LiftCourse
from pipeline.findings.injuries.spans import BEFORE_WEEKS, Injury, LiftWeeks
from pipeline.models.injury.course import Change, last_weeks, measure_change

# A muscle is told of when the lifts that were out did this share of its direct sets or more; common
# practice, no published source.
LEAST_SHARE = 0.25


@dataclass(frozen=True)
class MuscleCourse:
    """One muscle that lost lifts.

    Attributes
    ----------
    share_out : share of its direct weekly sets before that the lifts which were out had.
    sets_before, sets_during : direct weekly sets.
    through : index in the injury's last four trained weeks against the four before it.
    after : index a quarter after its end against before; None while it goes on or where the
        record ends sooner.
    """

    muscle_id: str
    share_out: float
    sets_before: float
    sets_during: float
    through: Change | Refusal
    after: Change | None


def follow_muscles(
    record: Record,
    injury: Injury,
    weeks: LiftWeeks,
    lifts: list[LiftCourse],
    fitted: Mapping[str, IndexWeeks],
) -> Iterator[MuscleCourse]:
    """Muscles of whose sets before a quarter or more were of lifts that went out, in the order of
    ``fitted``."""
    out = {one.exercise_id for one in lifts if one.role == "out"}
    for muscle, index in fitted.items():
        direct = [lift for lift in weeks.sets if muscle in record.muscles_of.get(lift, ((), ()))[0]]
        before = sum(weeks.mean(lift, injury.before) for lift in direct)
        lost = sum(weeks.mean(lift, injury.before) for lift in direct if lift in out)
        if before == 0 or lost / before < LEAST_SHARE:
            continue
        yield MuscleCourse(
            muscle_id=muscle,
            share_out=lost / before,
            sets_before=before,
            sets_during=sum(weeks.mean(lift, injury.during) for lift in direct),
            through=change_through(index, injury),
            after=_change_after(index, injury),
        )


def change_through(index: IndexWeeks, injury: Injury) -> Change | Refusal:
    """Index in the last weeks of the injury against the weeks before it."""
    within = np.zeros(index.is_trained.size, dtype=bool)
    within[injury.first : injury.last + 1] = True
    later = last_weeks(within & index.is_trained, LEVEL_WEEKS)
    return measure_change(index.level_log, index.se, weeks_before(index, injury), later, COVERAGE)


def weeks_before(index: IndexWeeks, injury: Injury) -> np.ndarray:
    """(n_weeks,) the last four weeks before the injury in which the muscle was trained."""
    at = np.arange(index.is_trained.size)
    is_near = (at >= injury.first - BEFORE_WEEKS) & (at < injury.first)
    return last_weeks(index.is_trained & is_near, LEVEL_WEEKS)


def _change_after(index: IndexWeeks, injury: Injury) -> Change | None:
    if injury.end is None or injury.last + BEFORE_WEEKS >= index.is_trained.size:
        return None
    at = np.arange(index.is_trained.size)
    span = index.is_trained & (at > injury.last) & (at <= injury.last + BEFORE_WEEKS)
    before, later = weeks_before(index, injury), last_weeks(span, LEVEL_WEEKS)
    change = measure_change(index.level_log, index.se, before, later, COVERAGE)
    return change if isinstance(change, Change) else None
