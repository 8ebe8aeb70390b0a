"""Failure sets against progress on simulated careers, with an effect planted and with none.

The lifter's habit of going to failure changes by blocks of ten weeks: in each, more or fewer of the
sets that can fail safely are carried on to their last repetition. Where an effect is planted, a
muscle's strength grows by so much more in weeks in which more of its direct sets were, and every
load moved follows. ``python -m tests.recovery.measure_effort 20 [first]`` prints every bar.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.core.settings import default_settings
from pipeline.findings.effort import fit_way
from pipeline.findings.effort.counts import EffortSets
from pipeline.findings.effort.say import Way
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.muscles import answer_muscles
from pipeline.models.effort.blocks import TEN_POINTS
from pipeline.models.simulate import Career, SimSets, simulate_career
from pipeline.models.simulate.catalogue import LIFTS
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.simulated_record import muscles_of, record_of

# % a year for ten points more of the sets: large, next to the few points between real trials.
PLANTED = 2.0
BLOCK_WEEKS = 10
MOST_SHARE = 0.6


@dataclass(frozen=True)
class EffectScore:
    """One career and one planted effect: error of the estimate, whether zero was excluded on the
    side of the effect (1), on the other (-1) or not (0), whether the 95 % interval holds, its half
    width. None of it where refused."""

    error: float
    called: int
    is_held: bool
    half_width: float


@dataclass(frozen=True)
class EffortScore:
    """One career: scores without and with an effect, None where refused."""

    none: EffectScore | None
    planted: EffectScore | None


def measure_career(seed: int, career: Career | None = None) -> EffortScore:
    """Score one career without and with the planted effect."""
    career = career or simulate_career(seed)
    return EffortScore(score_effect(career, seed, 0.0), score_effect(career, seed, PLANTED))


def score_effect(career: Career, seed: int, effect: float) -> EffectScore | None:
    """Plant, fit the muscles as a refresh does, and score the answer."""
    changed = plant_effect(vary_effort(career, seed), effect)
    record = record_of(changed)
    thresholds = default_settings().thresholds
    fitted = read_indexes(record, answer_muscles(record, muscles_of(career), thresholds).index)
    found = fit_way(record, EffortSets(record), fitted, Way.FAILURE)
    if isinstance(found, Refusal):
        return None
    side = int(np.sign(found.low)) if found.low * found.high > 0 else 0
    return EffectScore(
        error=found.pct_per_year - effect,
        called=side,
        is_held=bool(found.low <= effect <= found.high),
        half_width=(found.high - found.low) / 2,
    )


def vary_effort(career: Career, seed: int) -> Career:
    """The career with sets carried on to failure by a habit of each block."""
    rng = np.random.default_rng([seed, 20_261_128])
    sets = career.sets
    habit = rng.uniform(0, MOST_SHARE, career.n_weeks // BLOCK_WEEKS + 1)
    safe = np.array([LIFTS[one.exercise_id].can_fail_safely for one in career.exercises])
    goes = safe[sets.exercise] & ~sets.is_warmup & (sets.segment_no == 1)
    goes &= rng.random(sets.week.size) < habit[sets.week // BLOCK_WEEKS]
    goes &= career.truth.week_status[sets.week] == "trained"
    reps = np.where(goes, sets.reps + sets.true_rir, sets.reps).astype(np.int64)
    return replace(
        career,
        sets=replace(
            sets,
            reps=reps,
            true_rir=np.where(goes, 0.0, sets.true_rir),
            rir=np.where(goes & np.isfinite(sets.rir), 0.0, sets.rir),
            to_failure=sets.to_failure | goes,
        ),
    )


def plant_effect(career: Career, effect: float) -> Career:
    """The career whose muscles grow by ``effect`` % a year more for ten points more failure sets
    than they mostly had."""
    sets = career.sets
    extra = np.zeros((len(career.muscles), career.n_weeks))
    direct = np.array([[m in one.direct for m in career.muscles] for one in career.exercises])
    for muscle in range(len(career.muscles)):
        share = _weekly_share(sets, direct[:, muscle], career.n_weeks)
        rate = effect / 100 / TEN_POINTS / WEEKS_PER_YEAR
        extra[muscle] = np.cumsum(rate * (share - share.mean()))
    of_lift = direct.astype(float) @ extra / direct.sum(axis=1, keepdims=True)
    factor = np.exp(of_lift[sets.exercise, sets.week])
    return replace(
        career,
        sets=replace(
            sets, load_kg=sets.load_kg * factor, load_moved_kg=sets.load_moved_kg * factor
        ),
    )


def _weekly_share(sets: SimSets, is_direct: np.ndarray, n_weeks: int) -> np.ndarray:
    """(n_weeks,) share of a muscle's direct sets to failure; its mean in weeks without any."""
    own = is_direct[sets.exercise] & ~sets.is_warmup & (sets.segment_no == 1)
    total = np.bincount(sets.week[own], minlength=n_weeks)
    failed = np.bincount(sets.week[own & sets.to_failure], minlength=n_weeks)
    share = failed / np.maximum(total, 1)
    return np.where(total > 0, share, share[total > 0].mean())


def bars(scores: Sequence[EffortScore]) -> list[Bar]:
    """False calls, bias and interval without an effect; power, bias and interval with one."""

    def figure(
        name: str,
        case: str,
        take: Callable[[list[EffectScore]], float],
        low: float | None = None,
        high: float | None = None,
    ) -> Bar:
        def statistic(some: Sequence[EffortScore]) -> float:
            known = [getattr(one, case) for one in some]
            return take([one for one in known if one is not None])

        return measure_bar("effort", name, statistic, scores, low=low, high=high)

    def is_called(known: list[EffectScore], side: int) -> float:
        return mean_of([one.called == side for one in known])

    return [
        figure("called where none is planted", "none", lambda k: 1 - is_called(k, 0), high=0.15),
        figure("size of the bias, none planted, %/year for ten points", "none", _bias, high=0.3),
        figure("95 % interval holds, none planted", "none", _held, low=0.88),
        figure("found where planted", "planted", lambda k: is_called(k, 1), low=0.5),
        figure("wrong sign where planted", "planted", lambda k: is_called(k, -1), high=0.02),
        figure(
            "RMSE where planted, %/year for ten points",
            "planted",
            lambda k: root_mean_square([one.error for one in k]),
        ),
        figure("size of the bias, planted, %/year for ten points", "planted", _bias, high=0.6),
        figure("95 % interval holds, planted", "planted", _held, low=0.85),
        figure(
            "half width of the interval, %/year for ten points",
            "planted",
            lambda k: mean_of([one.half_width for one in k]),
        ),
        measure_bar(
            "effort",
            "share answered",
            lambda some: mean_of([one.none is not None for one in some]),
            scores,
            low=0.80,
        ),
    ]


def _bias(known: list[EffectScore]) -> float:
    return abs(mean_of([one.error for one in known]))


def _held(known: list[EffectScore]) -> float:
    return mean_of([one.is_held for one in known])


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
