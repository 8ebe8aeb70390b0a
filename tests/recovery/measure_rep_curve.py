"""Own repetition curves against those of simulated lifters: repetitions at 80 % of the 1RM.

``python -m tests.recovery.measure_rep_curve 20 [first]``, about 1 s a career. The truth is the
simulator's own curve, its one number per lift taken from what every set really had to failure at
its true level; "published" is the curve that every lift is drawn towards, without own sets.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.strength.rep_curve import LEVEL_PRIOR, SLOPE_PRIOR, log_factor, reps_at
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.recovery.measure_levels import fit_lift, most_trained, usable_sets

PERCENT = 80.0
GAP = -float(np.log(PERCENT / 100.0))
LEAST_REPS, MOST_REPS, MIN_SETS = 4, 15, 100
POWER = 0.85  # of the simulator's curve
KINDS = ("barbell", "dumbbell", "machine")


@dataclass(frozen=True)
class CurveScore:
    """One lift: true repetitions at 80 %, own with interval, published; true and own slope k."""

    true: float
    own: float
    is_held: bool
    published: float
    true_slope: float
    own_slope: float


def true_curve(career: Career, exercise: int) -> tuple[float, float] | None:
    """Repetitions at 80 % and slope k of the simulated lift: log gap = ease (r - 1)^0.85.

    ``ease`` is the median over sets, so that the day's form cancels; half a repetition is added,
    since whole ones that are left are counted downwards. k is that of the line through the curve
    against h from 4 to 15 repetitions.
    """
    s = career.sets
    total = s.reps + s.true_rir + 0.5
    own = usable_sets(career) & (s.exercise == exercise) & (total >= LEAST_REPS)
    own &= total <= MOST_REPS
    if own.sum() < MIN_SETS:
        return None
    shown = career.truth.lift_level_log[exercise][s.week[own]]
    gap = shown + career.truth.equipment_log[exercise][s.gym[own]] - np.log(s.load_moved_kg[own])
    ease = float(np.median(gap / (total[own] - 1.0) ** POWER))
    r = np.arange(LEAST_REPS, MOST_REPS + 1.0)
    k = float(np.polyfit(log_factor(r), ease * (r - 1.0) ** POWER, 1)[0])
    return 1.0 + (GAP / ease) ** (1.0 / POWER), k


def measure_career(seed: int, career: Career | None = None) -> list[CurveScore]:
    """The most trained lifts of three kinds of equipment."""
    career = career or simulate_career(seed, CareerOptions())
    scores = []
    for exercise in (e for kind in KINDS for e in most_trained(career, (kind,))):
        curve, fit = true_curve(career, exercise), fit_lift(career, exercise)
        if curve is None or isinstance(fit, Refusal):
            continue
        true, true_slope = curve
        own, low, high = fit.reps_at(PERCENT)
        published = float(reps_at(GAP, SLOPE_PRIOR[0], LEVEL_PRIOR[0]))
        scores.append(
            CurveScore(true, own, low <= true <= high, published, true_slope, fit.rep_slope)
        )
    return scores


def bars(scores: Sequence[list[CurveScore]]) -> list[Bar]:
    """Error of the own curve and of the published one, interval, and the slope alone."""

    def bar(name: str, figure: Callable[[list[CurveScore]], float], **limits: float) -> Bar:
        def statistic(some: Sequence[list[CurveScore]]) -> float:
            known = [one for career in some for one in career]
            return figure(known) if known else float("nan")

        return measure_bar("curve", name, statistic, scores, **limits)

    return [
        bar("repetitions at 80 %, RMSE", lambda s: root_mean_square([o.own - o.true for o in s])),
        bar(
            "the same by the published curve",
            lambda s: root_mean_square([o.published - o.true for o in s]),
        ),
        bar("own over published", _ratio, high=1.0),
        bar("bias, repetitions", lambda s: mean_of([o.own - o.true for o in s])),
        bar("90 % interval holds", lambda s: mean_of([o.is_held for o in s]), low=0.85),
        bar("slope k, RMSE", lambda s: root_mean_square([o.own_slope - o.true_slope for o in s])),
        bar(
            "slope k by the published curve, RMSE",
            lambda s: root_mean_square([SLOPE_PRIOR[0] - o.true_slope for o in s]),
        ),
    ]


def _ratio(scores: list[CurveScore]) -> float:
    own = root_mean_square([one.own - one.true for one in scores])
    return own / root_mean_square([one.published - one.true for one in scores])


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
