"""How strength grows, is lost and comes back: the planted truth, week by week."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Bools, Floats

from .noise import draw_slow
from .options import CareerOptions
from .programme import Bouts, count_sets
from .records import MUSCLES
from .timeline import Timeline
from .traits import Traits
from .usual import take_usual

# Share of the after-effect of a deload shown in weeks 1, 2, ... after it.
_AFTER_DELOAD = np.array([1.2, 1.0, 0.8, 0.4])


@dataclass(frozen=True)
class Strength:
    """Planted series, natural logs. `index`, `fatigue`, `after_deload`, `sets`, `best` are
    (muscles, weeks), `level` (lifts, weeks); shown strength is index - fatigue + after_deload.
    `usual` (muscles, weeks) is the index had priority phases not moved growth.
    """

    index: Floats
    fatigue: Floats
    after_deload: Floats
    level: Floats
    sets: Floats
    best: Floats
    usual: Floats
    deload_effect_pct: float

    @property
    def shown(self) -> Floats:
        """Muscle strength with fatigue and the after-effect of deloads, (muscles, weeks)."""
        return self.index - self.fatigue + self.after_deload


def grow(
    rng: Generator, traits: Traits, timeline: Timeline, bouts: Bouts, options: CareerOptions
) -> Strength:
    """Plant muscle and lift levels for the training done, and the effect of its deloads."""
    luck = rng.normal(0, 0.0004, (len(MUSCLES), traits.n_weeks))
    sets = count_sets(traits, bouts, bouts.n_sets)
    easy = 0.6 if traits.habits.deload_kind == "load_cut" else 1.0
    dose = np.where(timeline.is_deload, easy, 1.0) * sets
    full = count_sets(traits, bouts, bouts.n_full)
    best = best_sets(traits)
    index, usual = _muscle_paths(traits, timeline, dose, best, luck)
    index_without, usual_without = _muscle_paths(traits, timeline, full, best, luck)
    if not options.has_phase_effect:
        index, index_without = usual, usual_without
    fatigue = _fatigue(traits, dose)
    change = (index - fatigue) - (index_without - _fatigue(traits, full))
    after, effect = _after_deload(traits, timeline, change)
    return Strength(
        index=index,
        fatigue=fatigue,
        after_deload=after,
        level=_lift_levels(rng, traits, bouts, index),
        sets=sets,
        best=best,
        usual=usual,
        deload_effect_pct=effect,
    )


def best_sets(traits: Traits) -> Floats:
    """Weekly sets of fastest growth, (muscles, weeks), never under 4 or over 30."""
    moved = traits.response.trend_per_year * (traits.ages - 5.0)
    return np.clip(traits.response.best_at_5[:, None] + moved, 4.0, 30.0)


def _muscle_paths(
    traits: Traits, timeline: Timeline, dose: Floats, best: Floats, luck: Floats
) -> tuple[Floats, Floats]:
    """Index for weekly doses, and with usual growth in priority phases, (muscles, weeks) each;
    `luck` is growth without a cause."""
    response = traits.response
    away = dose / best - 1.0
    curve = 1.0 - np.where(away < 0, response.below, response.above) * away**2
    idle = dose < 0.15 * best
    shape = np.where(idle, 0.0, np.maximum(curve, response.floor))
    usual_idle = take_usual(idle.astype(float), timeline) > 0.5
    usual_shape = take_usual(shape, timeline)
    return (
        _add_up(traits, timeline, shape, idle, luck),
        _add_up(traits, timeline, usual_shape, usual_idle, luck),
    )


def _add_up(traits: Traits, timeline: Timeline, shape: Floats, idle: Bools, luck: Floats) -> Floats:
    """The index, (muscles, weeks), from weekly growth as a share of the fastest."""
    response = traits.response
    rate = shape / (traits.ages + 0.8) * 7 / 365.25
    gain = response.growth[:, None] * rate + response.diet_per_week * timeline.diet + luck
    gain = np.where(idle, luck, gain)
    lasting: Floats = np.cumsum(gain, axis=1) - gain
    return lasting - _idle_loss(idle)


def _idle_loss(idle: Bools) -> Floats:
    """What disuse has taken, (muscles, weeks): from the third idle week, regained twice as fast.

    Kept for about 3 weeks, 5-10 % lost by 8-12 (memory); ten weeks off regained in five
    (Halonen 2024, read).
    """
    loss = np.zeros(idle.shape)
    length, now = np.zeros(len(idle)), np.zeros(len(idle))
    worst, regain = np.zeros(len(idle)), np.zeros(len(idle))
    for week in range(idle.shape[1]):
        loss[:, week] = now
        resting = idle[:, week]
        length = np.where(resting, length + 1, 0)
        now = np.where(resting & (length > 2), now + 0.010 * (1 - now / 0.25), now)
        worst = np.where(resting, now, worst)
        regain = np.where(resting, 2.0 * worst / np.maximum(length, 1), regain)
        now = np.where(resting, now, np.maximum(now - np.maximum(regain, 0.004), 0.0))
    return loss


def _fatigue(traits: Traits, dose: Floats) -> Floats:
    """Loss of shown strength from the sets of the weeks before, (muscles, weeks)."""
    usual = np.maximum(np.median(dose, axis=1, keepdims=True), 1.0)
    excess = np.clip(dose / usual - 1.0, -1.0, 1.5)
    recent, now = np.zeros(dose.shape), np.zeros(len(dose))
    for week in range(dose.shape[1]):
        recent[:, week] = now
        keep = traits.acute.fatigue_keep
        now = keep * now + (1 - keep) * excess[:, week]
    return traits.acute.fatigue * recent


def _after_deload(traits: Traits, timeline: Timeline, change: Floats) -> tuple[Floats, float]:
    """The after-effect (muscles, weeks) that brings the whole effect to the planted one, and it.

    `change` is what the deloads' missing sets did by themselves (less fatigue, less growth).
    """
    shape, counted = np.zeros(traits.n_weeks), np.zeros(traits.n_weeks, dtype=bool)
    busy = timeline.is_deload | timeline.is_layoff
    for week in np.flatnonzero(timeline.is_deload):
        for later, share in enumerate(_AFTER_DELOAD, start=1):
            if week + later >= traits.n_weeks or busy[week + later]:
                break
            shape[week + later] = share
            counted[week + later] = later <= 3
    if not counted.any():
        return np.zeros(change.shape), float("nan")
    missing = traits.acute.deload_effect - _counted_change(change, timeline, counted)
    after = np.broadcast_to(missing / shape[counted].mean() * shape, change.shape).copy()
    return after, 100 * traits.acute.deload_effect


def _counted_change(change: Floats, timeline: Timeline, counted: Bools) -> float:
    """Mean over deloads of the change since the week before each, in weeks 1-3 after it."""
    moves, start = [], 0
    for week in range(change.shape[1]):
        if timeline.is_deload[week] and not timeline.is_deload[week - 1]:
            start = week
        if counted[week]:
            moves.append(change[:, week] - change[:, start])
    return float(np.mean(moves))


def _lift_levels(rng: Generator, traits: Traits, bouts: Bouts, index: Floats) -> Floats:
    """Log maximum of each lift, (lifts, weeks): its muscles, its own drift, less lack of practice.

    A lift follows its direct muscles for nine tenths, those that help for one tenth (assumption).
    """
    shares = traits.shares
    direct, helping = (shares == 1.0).astype(float), (shares == 0.5).astype(float)
    weights = direct / direct.sum(axis=1, keepdims=True)
    has_help = helping.sum(axis=1, keepdims=True) > 0
    mean_help = helping / np.maximum(helping.sum(axis=1, keepdims=True), 1.0)
    weights = np.where(has_help, 0.9 * weights + 0.1 * mean_help, weights)
    ratio = np.log([lift.ratio for lift in traits.lifts])
    trained = np.log((traits.training_age + 0.8) / 6.8) * 0.12
    base = np.log(traits.body_weight_kg) + ratio + trained
    base = base + rng.normal(0, 0.10) + rng.normal(0, 0.08, len(ratio))
    carried = np.array([lift.exercise.body_weight_share for lift in traits.lifts])
    least = np.log(np.maximum(1.25 * carried * traits.body_weight_kg, 1.0))
    base = np.maximum(base, least)
    own = 0.008 * draw_slow(rng, len(ratio), traits.n_weeks, 0.967)
    return base[:, None] + weights @ index + own - _unpractised(rng, traits, bouts)


def _unpractised(rng: Generator, traits: Traits, bouts: Bouts) -> Floats:
    """Strength not shown for lack of practice, (lifts, weeks): e-fold after four bouts.

    A lift left for more than a month is unlearnt by half in half a year.
    """
    compound = np.array([lift.exercise.is_compound for lift in traits.lifts])
    size = np.where(compound, rng.uniform(0.05, 0.12, len(compound)), 0.0)
    size = np.where(compound, size, rng.uniform(0.03, 0.08, len(compound)))
    done = np.zeros((len(compound), traits.n_weeks))
    np.add.at(done, (bouts.lift, bouts.week), 1)
    lack, away, table = np.ones(len(compound)), np.zeros(len(compound)), np.zeros(done.shape)
    lack[[lift.exercise.exercise_id in traits.usual for lift in traits.lifts]] = 0.2
    for week in range(traits.n_weeks):
        table[:, week] = lack
        away = np.where(done[:, week] > 0, 0, away + 1)
        lack = np.where(away > 4, lack + (1 - lack) / 30, lack * np.exp(-done[:, week] / 4))
    return size[:, None] * table
