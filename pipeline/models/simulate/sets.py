"""From planned bouts to the sets that end up in the logbook."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Bools, Floats, Ints

from .growth import Strength
from .nights import Days
from .noise import draw_series
from .programme import Bouts
from .repetitions import draw_ease, log_gap_for, repetitions_at
from .timeline import Timeline
from .traits import Traits

# Smallest steps of external load in kg; dumbbells count both hands.
GRID_KG: dict[str, float] = {
    "barbell": 2.5,
    "dumbbell": 4.0,
    "machine": 5.0,
    "cable": 2.5,
    "body_weight": 2.5,
}
# Spread between gyms of what the same strength shows, log.
_GYM_SD: dict[str, float] = {"machine": 0.08, "cable": 0.07}
# Repetitions by which effort and the sense of what is left wander over months (assumptions).
_EFFORT_SD, _CALIBRATION_SD, _KEEP = 0.6, 0.2, 0.96
_WEEKDAYS: dict[int, tuple[int, ...]] = {
    2: (0, 3),
    3: (0, 2, 4),
    4: (0, 1, 3, 5),
    5: (0, 1, 2, 4, 5),
    6: (0, 1, 2, 3, 4, 5),
    7: (0, 1, 2, 3, 4, 5, 6),
}


@dataclass(frozen=True)
class DayForm:
    """What each bout met: (bouts,). `strength` is the day's log maximum, `believed` what the
    lifter took it to be when choosing the load; `moved_kg` the part of body weight lifted.
    """

    day: Ints
    gym: Ints
    strength: Floats
    believed: Floats
    carried_kg: Floats
    ease: Floats
    grid_kg: Floats


@dataclass(frozen=True)
class WorkingSets:
    """Parents only, (sets,); `bout` indexes the bouts, `part` counts from 0 within one."""

    bout: Ints
    part: Ints
    load_kg: Floats
    reps: Ints
    left: Floats
    to_failure: Bools
    strength: Floats


def draw_equipment(rng: Generator, traits: Traits, timeline: Timeline) -> Floats:
    """What the same strength shows on each gym's equipment, log, (lifts, gyms); first gym 0."""
    n_gyms = int(timeline.gym.max()) + 1
    spread = [_GYM_SD.get(lift.exercise.equipment, 0.0) for lift in traits.lifts]
    table = np.array(spread)[:, None] * rng.normal(0, 1, (len(spread), n_gyms))
    table[:, 0] = 0.0
    return table


def meet_days(
    rng: Generator,
    traits: Traits,
    timeline: Timeline,
    bouts: Bouts,
    strength: Strength,
    equipment: Floats,
    days: Days,
    body_weight: Floats,
    shock: Floats,
) -> DayForm:
    """The strength of every bout's day and what the lifter believed it to be."""
    weekday = np.array(_WEEKDAYS[traits.habits.sessions_per_week])
    day = bouts.week * 7 + weekday[bouts.slot]
    gym = timeline.gym[bouts.week]
    usual = strength.level[bouts.lift, bouts.week] + equipment[bouts.lift, gym]
    acute = _acute_change(rng, traits, bouts, strength, days, shock, day)
    noticed = traits.acute.tuning * acute + rng.normal(0, 0.012, len(day))
    share = np.array([lift.exercise.body_weight_share for lift in traits.lifts])
    grid = np.array([GRID_KG[lift.exercise.equipment] for lift in traits.lifts])
    ease = draw_ease(rng, traits.lifts, traits.n_weeks)
    return DayForm(
        day=day,
        gym=gym,
        strength=usual + acute,
        believed=usual + noticed,
        carried_kg=share[bouts.lift] * body_weight[day],
        ease=ease[bouts.lift, bouts.week],
        grid_kg=grid[bouts.lift],
    )


def _acute_change(
    rng: Generator,
    traits: Traits,
    bouts: Bouts,
    strength: Strength,
    days: Days,
    shock: Floats,
    day: Ints,
) -> Floats:
    """Everything that moves a day's strength off its level, log, (bouts,)."""
    acute, shares = traits.acute, traits.shares
    weights = shares / shares.sum(axis=1, keepdims=True)
    tired = weights @ (strength.after_deload - strength.fatigue)
    session = rng.normal(0, acute.session_sd, traits.n_weeks * 7)
    return (
        tired[bouts.lift, bouts.week]
        + shock[bouts.week]
        + acute.sleep_per_h * days.sleep_away_h[day]
        - acute.stress * days.stress[day]
        + session[day]
        + rng.normal(0, acute.bout_sd, len(day))
    )


def lift_sets(
    rng: Generator, traits: Traits, timeline: Timeline, bouts: Bouts, form: DayForm
) -> WorkingSets:
    """Choose a load per bout, then do its sets: mostly short of failure, some to it."""
    easing = timeline.is_deload[bouts.week]
    effort = _EFFORT_SD * draw_series(rng, traits.n_weeks, _KEEP)[bouts.week]
    felt = np.clip(bouts.reserve_target + effort, 0.0, 5.0)
    reserve = _true_reserve(felt) + 1.5 * easing
    cut = np.where(easing, timeline.load_cut, 1.0)
    aim = np.maximum(bouts.reps_target + rng.integers(-1, 2, len(easing)), 2)
    bout = np.repeat(np.arange(len(aim)), bouts.n_sets)
    part = np.arange(len(bout)) - np.repeat(np.cumsum(bouts.n_sets) - bouts.n_sets, bouts.n_sets)
    tired = traits.acute.set_loss * part + rng.normal(0, 0.006, len(bout))
    today = form.strength[bout] - tired
    share = _back_off(rng, traits, bouts, bout, part)
    load = _fit_load(form, _choose_load(form, aim + reserve, cut)[bout] * share, bout, today)
    moved = np.log(load + form.carried_kg[bout])
    allowed = np.floor(repetitions_at(today - moved, form.ease[bout]))
    room = repetitions_at(form.believed[bout] - moved, form.ease[bout]) - reserve[bout]
    planned = _planned_reps(room, aim[bout], easing[bout])
    all_out = _goes_all_out(rng, traits, bouts, bout, part, easing)
    reps, to_failure = _do_reps(rng, allowed, planned, all_out)
    return WorkingSets(
        bout=bout,
        part=part,
        load_kg=load,
        reps=reps,
        left=np.maximum(allowed - reps, 0.0),
        to_failure=to_failure,
        strength=today,
    )


def _true_reserve(felt: Floats) -> Floats:
    """Repetitions really left when `felt` are: about one more at 4 (Halperin 2022, read)."""
    return felt + 0.95 * (1 - np.exp(-felt / 2))


def _choose_load(form: DayForm, reps_to_failure: Floats, cut: Floats) -> Floats:
    """External load in kg meant for so many repetitions to failure, (bouts,)."""
    moved = cut * np.exp(form.believed - log_gap_for(reps_to_failure, form.ease))
    return moved - form.carried_kg


def _back_off(rng: Generator, traits: Traits, bouts: Bouts, bout: Ints, part: Ints) -> Floats:
    """Share of the first set's load, (sets,): in some bouts of compounds the rest are lighter."""
    compound = np.array([lift.exercise.is_compound for lift in traits.lifts])[bouts.lift]
    chosen = compound & (bouts.n_sets >= 3) & (rng.random(len(compound)) < 0.25)
    return np.where(chosen[bout] & (part > 0), 0.9, 1.0)


def _fit_load(form: DayForm, meant_kg: Floats, bout: Ints, today: Floats) -> Floats:
    """The load on the equipment's steps; lighter where not two repetitions would be left in it."""
    grid, carried = form.grid_kg[bout], form.carried_kg[bout]
    least = np.where(carried > 0, 0.0, grid)
    two = np.exp(today - log_gap_for(np.full(len(bout), 2.0), form.ease[bout])) - carried
    steps = np.minimum(np.round(meant_kg / grid), np.floor(two / grid))
    return np.maximum(steps * grid, least)


def _planned_reps(room: Floats, aim: Ints, easing: Bools) -> Floats:
    """Repetitions meant for every set: what the load leaves room for, near the aim, (sets,)."""
    planned = np.where(easing, np.minimum(room, aim), room)
    return np.clip(np.round(planned), np.maximum(aim - 3, 1), aim + 4)


def _goes_all_out(
    rng: Generator, traits: Traits, bouts: Bouts, bout: Ints, part: Ints, easing: Bools
) -> Bools:
    """The last set of machine and isolation work, in some bouts; never in a deload."""
    safe = np.array([lift.can_fail_safely for lift in traits.lifts])[bouts.lift]
    chosen = safe & ~easing & (rng.random(len(safe)) < traits.habits.failure_share)
    return chosen[bout] & (part == bouts.n_sets[bout] - 1)


def _do_reps(
    rng: Generator, allowed: Floats, planned: Floats, all_out: Bools
) -> tuple[Ints, Bools]:
    """Stop at the plan, or one short of failure, or (when all out or misjudged) at failure."""
    careful = (rng.random(len(allowed)) < 0.7).astype(float)
    stop = np.maximum(np.minimum(planned, allowed - careful), 1)
    reps = np.where(all_out, np.maximum(allowed, 1), stop)
    failed = all_out | ((planned > allowed) & (careful == 0))
    return reps.astype(np.int64), failed & (allowed >= 1)


def write_reserve(
    rng: Generator, traits: Traits, week: Ints, left: Floats, to_failure: Bools
) -> Floats:
    """Reserve as written down: fewer than truly left, whole, at most 5; nan where not written.

    How far short differs between people (Halperin 2022, read: I2 98 %) and wanders over months.
    """
    habit = rng.uniform(0.4, 1.6) * (1 - np.exp(-left / 2))
    wander = _CALIBRATION_SD * draw_series(rng, traits.n_weeks, _KEEP)[week]
    felt = left - habit - wander + rng.normal(0, 0.45 + 0.12 * left)
    written = np.where(to_failure, 0.0, np.clip(np.round(felt), 0, 5) + 0.0)
    kept = rng.random(len(week)) < traits.habits.reserve_written
    first, end = traits.habits.reserve_gap
    kept &= (week >= traits.habits.reserve_from_week) & ~((week >= first) & (week < end))
    return np.where(kept, written, np.nan)
