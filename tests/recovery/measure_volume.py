"""Best-supported weekly sets and their trend against simulated truth (METHODS c).

``python -m tests.recovery.measure_volume 20 [first]`` prints every bar, about 4 s a career. "Prior"
is the answer from the prior alone; it is centred on the simulated population, or wrong by 3 sets
for all muscles, or the shipped one (told without a bar: it is not the simulator's population's).
"""

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.findings.volume_record import prior_of as shipped_prior
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.volume.trend import fit_tolerance_trend
from pipeline.reference import load_priors
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.recovery.volume_cases import (
    VolumeScores,
    pool_arguments,
    pool_cases,
    prior_of,
    score_pool,
)

AGE_BANDS = ((0, 3), (3, 6), (6, 10), (10, 30))
OFF_BY = {"right": 0.0, "3 too high": 3.0, "3 too low": -3.0}
TRENDS = ("rising", "flat", "falling")
REFUSED = "refused"


@dataclass(frozen=True)
class CareerVolume:
    """Scores of one career by prior; planted trend and the one called; has it a diet phase?"""

    by_prior: dict[str, VolumeScores]
    n_muscles: int
    trend: str
    called: str
    has_diet: bool
    seconds: float


def measure_career(seed: int, career: Career | None = None) -> CareerVolume:
    """Fit one career under each prior, and its trend."""
    career = career or simulate_career(seed, CareerOptions())
    cases = pool_cases(career)
    scores = {}
    for name, off_by in OFF_BY.items():
        started = time.process_time()
        scores[name] = score_pool(career, cases, {m: prior_of(m, off_by) for m in cases})
        seconds = time.process_time() - started
    table = load_priors()
    scores["shipped"] = score_pool(career, cases, {m: shipped_prior(table, m) for m in cases})
    muscles, ages, shared = pool_arguments(cases)
    found = fit_tolerance_trend(muscles, ages, priors={m: prior_of(m) for m in cases}, **shared)
    weight, energy = shared["body_weight_kg"], shared["energy"]
    return CareerVolume(
        by_prior=scores,
        n_muscles=len(career.muscles),
        trend=career.truth.tolerance_trend,
        called=REFUSED if isinstance(found, Refusal) else found.direction,
        has_diet=bool(np.any(energy)) and bool(np.isfinite(weight).mean() > 0.5),
        seconds=seconds,
    )


def bars(scores: Sequence[CareerVolume]) -> list[Bar]:
    """All bars of METHODS c, and what stands beside them without one."""
    right = [one.by_prior["right"] for one in scores]
    return [
        _bar("share of muscles answered", _share_answered, scores, low=0.95),
        *_error_bars(scores),
        _bar("bias, right centre", lambda some: mean_of(_all(some, "error")), right),
        *_interval_bars(scores, right),
        *_trend_bars(scores),
        *_diet_bars(scores),
        _bar("seconds a career", lambda some: mean_of([s.seconds for s in some]), scores, high=0.3),
    ]


def _bar(name: str, statistic: Callable, scores: Sequence, **asked: float | None) -> Bar:
    return measure_bar("volume", name, statistic, scores, **asked)


def _all(scores: Sequence[VolumeScores], name: str) -> np.ndarray:
    return np.concatenate([getattr(one, name) for one in scores])


def _share_answered(scores: Sequence[CareerVolume]) -> float:
    answered = sum(one.by_prior["right"].n_muscles for one in scores)
    return answered / sum(one.n_muscles for one in scores)


def _error_bars(scores: Sequence[CareerVolume]) -> list[Bar]:
    def ratio(some: Sequence[VolumeScores]) -> float:
        return root_mean_square(_all(some, "error")) / root_mean_square(_all(some, "prior_error"))

    def better(some: Sequence[VolumeScores]) -> float:
        return mean_of([np.mean(s.error**2) < np.mean(s.prior_error**2) for s in some])

    found = []
    for name, limit in (("right", 0.9), ("3 too high", 1.0), ("3 too low", 1.0), ("shipped", None)):
        own = [one.by_prior[name] for one in scores if one.by_prior[name].age.size]
        found += [
            _bar(f"error over the prior's, {name} centre", ratio, own, high=limit),
            _bar(f"RMSE, {name} centre", lambda some: root_mean_square(_all(some, "error")), own),
        ]
        least = 0.58 if name == "right" else None
        found.append(_bar(f"careers better than the prior, {name} centre", better, own, low=least))
    return found


def _interval_bars(scores: Sequence[CareerVolume], right: Sequence[VolumeScores]) -> list[Bar]:
    found = [_bar("interval holds", lambda some: mean_of(_all(some, "is_held")), right, low=0.82)]
    for low, high in AGE_BANDS:
        found.append(_bar(f"holds, age {low} to {high}", _held_in(low, high), right, low=0.75))
    for trend in TRENDS:
        own = [one.by_prior["right"] for one in scores if one.trend == trend]
        name = f"holds, {trend} tolerance"
        found.append(_bar(name, lambda some: mean_of(_all(some, "is_held")), own, low=0.75))
    for low, high in AGE_BANDS:
        name = f"rank of width and error, age {low} to {high}"
        found.append(_bar(name, _rank_in(low, high), right, low=0.0))
    return found


def _held_in(low: float, high: float) -> Callable[[Sequence[VolumeScores]], float]:
    def share(some: Sequence[VolumeScores]) -> float:
        age = _all(some, "age")
        return mean_of(_all(some, "is_held")[(age >= low) & (age < high)])

    return share


def _rank_in(low: float, high: float) -> Callable[[Sequence[VolumeScores]], float]:
    def rank(some: Sequence[VolumeScores]) -> float:
        age = _all(some, "age")
        inside = (age >= low) & (age < high)
        if inside.sum() < 3:
            return float("nan")
        width, error = _all(some, "width")[inside], np.abs(_all(some, "error")[inside])
        ranks = [np.argsort(np.argsort(values)) for values in (width, error)]
        return float(np.corrcoef(*ranks)[0, 1])

    return rank


def _trend_bars(scores: Sequence[CareerVolume]) -> list[Bar]:
    def called(*words: str) -> Callable[[Sequence[CareerVolume]], float]:
        return lambda some: mean_of([one.called in words for one in some])

    def answered(some: Sequence[CareerVolume]) -> float:
        return mean_of([one.called != REFUSED for one in some])

    rising, flat, falling = ([s for s in scores if s.trend == trend] for trend in TRENDS)
    return [
        _bar("flat wrongly called", called("rising", "falling"), flat, high=0.10),
        _bar("rising found", called("rising"), rising, low=0.45),
        _bar("rising called falling", called("falling"), rising),
        _bar("falling found", called("falling"), falling),
        _bar("falling called rising", called("rising"), falling),
        # What is not answered is not called either: the shares above are of all careers.
        *[
            _bar(f"trend answered, {trend} tolerance", answered, own)
            for trend, own in zip(TRENDS, (rising, flat, falling), strict=True)
        ],
    ]


def _diet_bars(scores: Sequence[CareerVolume]) -> list[Bar]:
    own = [one.by_prior["right"] for one in scores if one.has_diet]
    name = "bias of the optimum, diet phases and body weight logged"
    return [_bar(name, lambda some: mean_of(_all(some, "error")), own, low=-0.5, high=0.5)]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
