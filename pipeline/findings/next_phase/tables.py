"""The rows of a proposal: itself, its muscles, its lifts session by session, its weeks."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pipeline.core.identity import hash_of
from pipeline.findings.next_phase.curves import range_of
from pipeline.findings.next_phase.habits import FAILURE_SHARE, read_lift_habit
from pipeline.findings.next_phase.problem import Situation
from pipeline.findings.next_phase.reasons import Known, explain_lift, explain_muscle
from pipeline.models.arrays import Floats, Ints
from pipeline.models.planning.inputs import WeekProblem
from pipeline.models.planning.programme import WeekProgramme
from pipeline.models.planning.progress import draw_progress, expect_progress, interval_of
from pipeline.models.planning.ramp import ramp_weeks

Row = dict[str, object]
# Equipment that lets go of a failed repetition; and work of one joint on anything.
SAFE = ("machine", "cable")
UNSAFE_RESERVE = 1.0
# On a lift that loads a region to be spared: common practice, no published source.
LOADING_RESERVE = 2.0


@dataclass(frozen=True)
class Proposal:
    """A week, what it is for, and how it is told.

    Attributes
    ----------
    version : progress or learning. tested : the muscle that a learning block is about.
    levels : the week of each level of the block; the first one is the week to begin with.
    n_weeks : of the phase, its easing week included.
    """

    version: str
    levels: tuple[WeekProgramme, ...]
    n_weeks: int
    tested: str | None = None

    @property
    def week(self) -> WeekProgramme:
        """The week to begin with."""
        return self.levels[0]


def proposal_keys(situation: Situation, version: str) -> Row:
    """Columns that name a proposal, the same on every night until the record goes on."""
    lifter_id, last = situation.record.lifter.lifter_id, situation.record.last_day
    proposal_id = hash_of(lifter_id, version, last.isoformat())
    return {"lifter_id": lifter_id, "proposal_id": proposal_id}


def start_of(situation: Situation) -> date:
    """First day of the week after the last of the record."""
    return situation.record.week_start_of(situation.record.last_day) + timedelta(weeks=1)


def muscle_rows(situation: Situation, known: Known, proposal: Proposal) -> Iterator[Row]:
    """Rows of ``model_proposal_muscle``."""
    is_full = _is_full(situation.problem, proposal.week)
    changes = _lift_changes(situation, proposal.week)
    for one in situation.problem.muscles:
        then = proposal.week.muscle_sets[one.muscle_id]
        steps = [
            change
            for lift, change in changes.items()
            if one.muscle_id in situation.record.muscles_of.get(lift, ((), ()))[0]
        ]
        why = explain_muscle(
            situation, known, one, then, proposal.tested, steps=steps, is_full=is_full
        )
        range_low, range_high = range_of(situation.values[one.muscle_id], situation.age)
        low, high = interval_of(draw_progress(one, then))
        yield {
            **proposal_keys(situation, proposal.version),
            "muscle_id": one.muscle_id,
            "role": why.role,
            "sets_now": one.now,
            "sets_next": then,
            "range_low": range_low,
            "range_high": range_high,
            "expected_pct_month": expect_progress(one, then),
            "low": low,
            "high": high,
            "because": why.because,
            "support": why.support,
            "finding_id": why.finding_id,
            "is_published": one.muscle_id in situation.published,
        }


def _lift_changes(situation: Situation, week: WeekProgramme) -> dict[str, float]:
    """By how many weekly sets each lift changes, those that leave among them."""
    then, now = _weekly_sets(situation, week), situation.habits.weekly_sets
    return {lift: then.get(lift, 0) - now.get(lift, 0.0) for lift in {**now, **then}}


def _weekly_sets(situation: Situation, week: WeekProgramme) -> dict[str, int]:
    """Weekly sets of every lift of the problem."""
    lifts = (one.exercise_id for one in situation.problem.lifts)
    return dict(zip(lifts, map(int, week.sets.sum(axis=1)), strict=True))


def _is_full(problem: WeekProblem, week: WeekProgramme) -> bool:
    """No set more fits: all of the week are used, or no session has the minutes of another one."""
    lifts, limits = problem.lifts, problem.limits
    minutes = np.array([one.minutes for one in lifts]) @ week.sets
    shortest = min((one.minutes for one in lifts), default=np.inf)
    has_minutes = bool((minutes + shortest <= limits.minutes).any())
    return week.sets.sum() + 1 > limits.weekly_sets or not has_minutes


def lift_rows(situation: Situation, known: Known, proposal: Proposal) -> Iterator[Row]:
    """Rows of ``model_proposal_lift``: sessions in order, then the lifts that leave."""
    sets = proposal.week.sets
    weekly = _weekly_sets(situation, proposal.week)
    keys = proposal_keys(situation, proposal.version)
    for day in range(sets.shape[1]):
        for place, lift in enumerate(_order(situation, sets[:, day]), start=1):
            one = situation.problem.lifts[lift]
            count = int(sets[lift, day])
            yield {
                **keys,
                **_line(situation, known, proposal.week, one.exercise_id, weekly[one.exercise_id]),
                **_habit_columns(situation, one.exercise_id),
                "day": day + 1,
                "place": place,
                "sets": count,
                "minutes": count * one.minutes,
            }
    for exercise_id in sorted(situation.habits.weekly_sets):
        if not weekly.get(exercise_id, 0):
            line = _line(situation, known, proposal.week, exercise_id, 0)
            yield {**keys, **line, "sets": 0, "minutes": 0.0}


def _order(situation: Situation, sets: Ints) -> list[int]:
    """Lifts of a session: those of many muscles first, then by sets; common practice."""
    lifts = situation.problem.lifts
    done = np.flatnonzero(sets)
    return sorted(
        map(int, done), key=lambda n: (-len(lifts[n].shares), -sets[n], lifts[n].exercise_id)
    )


def _line(
    situation: Situation, known: Known, week: WeekProgramme, exercise_id: str, then: int
) -> Row:
    now = situation.habits.weekly_sets.get(exercise_id, 0.0)
    direct, _ = situation.record.muscles_of.get(exercise_id, ((), ()))
    way = float(np.sign(then - now))
    moves = [
        way * (week.muscle_sets[one.muscle_id] - one.now)
        for one in situation.problem.muscles
        if one.muscle_id in direct
    ]
    furthest = max([0.0, *moves]) if moves else None
    status, because = explain_lift(situation, exercise_id, now, then, furthest)
    findings = [known.supported[one] for one in direct if one in known.supported]
    is_reasoned = exercise_id not in situation.wishes.out and findings
    return {
        "exercise_id": exercise_id,
        "sets_now": now,
        "status": status,
        "because": because,
        "finding_id": findings[0].finding_id if is_reasoned else None,
        "to_failure": False,
    }


def _habit_columns(situation: Situation, exercise_id: str) -> Row:
    """Repetitions and reserve as the lifter does the lift; failure only where it is safe, and on no
    lift that loads what an open injury is to spare."""
    habit = read_lift_habit(situation.record, exercise_id)
    if habit is None:
        return {"reps_low": None, "reps_high": None, "rir": None}
    is_loading = exercise_id in situation.wishes.loading
    is_safe = _is_safe(situation, exercise_id) and not is_loading
    return {
        "reps_low": habit.reps_low,
        "reps_high": habit.reps_high,
        "rir": _reserve(habit.rir, is_safe=is_safe, is_loading=is_loading),
        # Without reserve every set goes to failure: nothing is special about the last.
        "to_failure": is_safe and habit.rir != 0 and habit.failure_share >= FAILURE_SHARE,
    }


def _reserve(usual: float | None, *, is_safe: bool, is_loading: bool) -> float | None:
    """The usual reserve, or the least that is asked for; of a lift that loads what is to be spared
    also where none was recorded."""
    if is_loading:
        return max(usual or 0.0, LOADING_RESERVE)
    return usual if usual is None or is_safe else max(usual, UNSAFE_RESERVE)


def _is_safe(situation: Situation, exercise_id: str) -> bool:
    """On a machine or cable, or work of a single joint."""
    kinds = situation.record.exercises
    row = kinds.row(kinds["exercise_id"].to_list().index(exercise_id), named=True)
    return row["equipment"] in SAFE or row.get("mechanics") == "isolation"


def week_rows(situation: Situation, proposal: Proposal) -> Iterator[Row]:
    """Rows of ``model_proposal_week``: every muscle's sets, week by week."""
    start, step = start_of(situation), situation.wishes.weekly_increase
    for one in situation.problem.muscles:
        for week, sets in enumerate(_ramp(proposal, one.muscle_id, one.now, step)):
            yield {
                **proposal_keys(situation, proposal.version),
                "week": week + 1,
                "week_start": start + timedelta(weeks=week),
                "muscle_id": one.muscle_id,
                "sets": float(sets),
                "is_easing": week + 1 == proposal.n_weeks,
            }


def _ramp(proposal: Proposal, muscle_id: str, now: float, step: float) -> Floats:
    """(n_weeks,) sets of a muscle through the levels of a proposal, eased off in the last week."""
    ends = np.linspace(0, proposal.n_weeks, len(proposal.levels) + 1).astype(int)
    parts: list[Floats] = []
    for number, (level, length) in enumerate(zip(proposal.levels, np.diff(ends), strict=True)):
        is_last = number == len(proposal.levels) - 1
        # Without an easing week of its own a level runs a week longer, and that one is cut off.
        weeks = ramp_weeks(now, level.muscle_sets[muscle_id], int(length) + (not is_last), step)
        parts.append(weeks if is_last else weeks[:-1])
        now = float(parts[-1][-1])
    return np.concatenate(parts)
