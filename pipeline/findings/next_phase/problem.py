"""The week's problem as the planning model takes it, from one lifter's record and wishes."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import INDIRECT_COUNTS, SEGMENTED, Record
from pipeline.findings.next_phase.curves import (
    SETS_GRID,
    muscle_values,
    progress_of,
    published_sets,
)
from pipeline.findings.next_phase.habits import (
    NOW_WEEKS,
    YEAR_WEEKS,
    Habits,
    ordinary_weeks,
    read_habits,
)
from pipeline.findings.next_phase.wishes import Wishes
from pipeline.models.arrays import Floats
from pipeline.models.narrowing.plans import MOST_OVER
from pipeline.models.planning.inputs import (
    PULL,
    PUSH,
    PlanLift,
    PlanLimits,
    PlanMuscle,
    WeekProblem,
)
from pipeline.models.planning.ramp import highest_reachable
from pipeline.models.volume.answer import VolumeResponse

# A muscle belongs to the plan if it had sets in the last two years.
LATE_WEEKS = 104
# Bringing in or leaving out a lift must gain a hundredth of all that is expected: an assumption.
CHANGE_COST = 0.01
MINUTES_STEP = 5.0
SIDES = {
    "horizontal_push": PUSH,
    "vertical_push": PUSH,
    "horizontal_pull": PULL,
    "vertical_pull": PULL,
}


@dataclass(frozen=True)
class Situation:
    """All that a proposal is made from.

    Attributes
    ----------
    values : (n_draws, N_VALUES) of each muscle's response. published : muscles by the prior alone.
    last_year : weekly sets of each muscle, mean of the last year.
    held : least sets that held, by muscle that has a finding of it.
    """

    record: Record
    wishes: Wishes
    habits: Habits
    problem: WeekProblem
    values: Mapping[str, Floats]
    published: frozenset[str]
    last_year: Mapping[str, float]
    held: Mapping[str, float]

    @property
    def age(self) -> float:
        """Training age at the end of the record, years."""
        return float(self.record.training_age[-1])


def planned_muscles(record: Record, muscles: pl.DataFrame) -> list[str]:
    """Muscles with a strip of their own and sets in the last two years, in order of the page."""
    shown = muscles.filter("is_shown").sort("page_order")["muscle_id"]
    return [
        one
        for one in shown
        if np.nansum(record.weekly_sets.get(one, np.zeros(1))[-LATE_WEEKS:]) > 0
    ]


def make_situation(
    record: Record,
    wishes: Wishes,
    muscle_ids: list[str],
    answers: Mapping[str, VolumeResponse | Refusal],
    priors: pl.DataFrame,
    held: Mapping[str, float],
    thresholds: Mapping[str, float],
) -> Situation:
    """The problem of one lifter; ``answers`` of the joint fit, ``held`` the least that held."""
    minutes = {one: _minutes_of(record, one, thresholds) for one in record.muscles_of}
    habits = read_habits(record, minutes)
    values = muscle_values(record, answers, priors, muscle_ids)
    year = ordinary_weeks(record, YEAR_WEEKS)
    last_year = {one: float(np.nanmean(record.weekly_sets[one][year])) for one in muscle_ids}
    published = published_sets(priors, muscle_ids, sum(last_year.values()))
    muscles = tuple(
        replace(
            _plan_muscle(record, wishes, one, values[one], answers.get(one), held, thresholds),
            reference=published[one],
        )
        for one in muscle_ids
    )
    lifts = tuple(
        _plan_lift(record, wishes, habits, one, minutes[one], set(muscle_ids))
        for one in sorted({*habits.learnt, *wishes.keep})
        if one in record.muscles_of and one not in wishes.out
    )
    return Situation(
        record,
        wishes,
        habits,
        WeekProblem(muscles, lifts, _limits(record, habits, muscles, thresholds)),
        values,
        frozenset(m for m in muscle_ids if not isinstance(answers.get(m), VolumeResponse)),
        last_year,
        held,
    )


def _minutes_of(record: Record, exercise_id: str, thresholds: Mapping[str, float]) -> float:
    is_machine = record.equipment.get(exercise_id) in SEGMENTED
    return thresholds["minutes_machine_set" if is_machine else "minutes_free_set"]


def _plan_muscle(
    record: Record,
    wishes: Wishes,
    muscle_id: str,
    values: Floats,
    answer: VolumeResponse | Refusal | None,
    held: Mapping[str, float],
    thresholds: Mapping[str, float],
) -> PlanMuscle:
    weekly = record.weekly_sets[muscle_id]
    now = float(np.nanmean(weekly[ordinary_weeks(record, NOW_WEEKS)]))
    least = min(held.get(muscle_id, thresholds["hold_share"] * now), now)
    trained = weekly[record.trained & np.isfinite(weekly)]
    highest = float(np.percentile(trained, 97))
    if isinstance(answer, VolumeResponse):
        highest = answer.inside_high
    reach = highest_reachable(now, wishes.weeks, wishes.weekly_increase)
    most = max(min(MOST_OVER * highest, reach), now, least)
    is_held, is_first = muscle_id in wishes.hold, muscle_id in wishes.priorities
    is_capped = is_held or muscle_id in wishes.spared
    weight = thresholds["priority_weight"] if is_first else 1.0
    return PlanMuscle(
        muscle_id,
        SETS_GRID,
        progress_of(values, float(record.training_age[-1])),
        now,
        least,
        now if is_capped else most,
        now if is_first else 0.0,
        0.0 if is_held else weight,
    )


def _plan_lift(
    record: Record,
    wishes: Wishes,
    habits: Habits,
    exercise_id: str,
    minutes: float,
    muscle_ids: set[str],
) -> PlanLift:
    direct, indirect = record.muscles_of[exercise_id]
    shares = dict.fromkeys(muscle_ids.intersection(indirect), INDIRECT_COUNTS)
    shares |= dict.fromkeys(muscle_ids.intersection(direct), 1.0)
    now = habits.weekly_sets.get(exercise_id, 0.0)
    pattern = dict(record.exercises.select("exercise_id", "pattern").rows()).get(exercise_id)
    return PlanLift(
        exercise_id,
        shares,
        minutes,
        now,
        habits.usual_days.get(exercise_id, ()),
        SIDES.get(pattern or "", ""),
        exercise_id in wishes.keep,
        float(np.ceil(now)) if exercise_id in wishes.careful else np.inf,
    )


def _limits(
    record: Record,
    habits: Habits,
    muscles: tuple[PlanMuscle, ...],
    thresholds: Mapping[str, float],
) -> PlanLimits:
    asked = record.lifter.next_phase
    sessions = asked.sessions or max(habits.sessions, 1)
    minutes = asked.minutes or MINUTES_STEP * np.ceil(habits.minutes / MINUTES_STEP)
    best = sum(m.weight * float(m.progress.mean(axis=0).max()) for m in muscles)
    often = max((len(days) for days in habits.usual_days.values()), default=1)
    return PlanLimits(
        sessions,
        float(asked.weekly_sets or round(habits.all_sets)),
        float(minutes),
        session_muscle_sets=thresholds["session_muscle_sets"],
        lift_session_sets=round(thresholds["lift_session_sets"]),
        lift_days=max(often, 2),
        change_cost=CHANGE_COST * max(best, 0.0),
    )
