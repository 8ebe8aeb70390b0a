"""What priority phases bought and cost against planted truth, and phases found without a journal.

``python -m tests.recovery.measure_priority 20 [first]``: about five seconds a career. Beside every
drawn career stands one in whose phases nothing is gained, and for detection one with clear phases
and one with none.
Errors in log x 100, about per cent; under the shipped prior, whose centre is not the simulator's.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from pipeline.models.simulate import Career, CareerOptions, CareerScript, simulate_career
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.recovery.priority_cases import (
    DetectionScore,
    EffectScore,
    score_detection,
    score_effects,
    simulate_clear,
)

NONE_SEED, CLEAR_SEED, STEADY_SEED = 20_000, 30_000, 40_000
STEADY_YEARS = 10


@dataclass(frozen=True)
class CareerScore:
    """Effects by role of a drawn career and of one without effect; detection in the drawn career,
    in one with clear phases, and phases proposed in one without any."""

    drawn: dict[str, list[EffectScore]]
    without: dict[str, list[EffectScore]]
    found: DetectionScore
    found_clear: DetectionScore
    found_steady: int


def measure_career(seed: int, career: Career | None = None) -> CareerScore:
    """The drawn career of this seed and the three beside it."""
    career = career or simulate_career(seed, CareerOptions())
    none = simulate_career(NONE_SEED + seed, CareerOptions(has_phase_effect=False))
    steady = CareerOptions(years=STEADY_YEARS, script=CareerScript(date(2012, 1, 2), phases=()))
    return CareerScore(
        score_effects(career),
        score_effects(none),
        score_detection(career),
        score_detection(simulate_clear(CLEAR_SEED + seed)),
        score_detection(simulate_career(STEADY_SEED + seed, steady)).found,
    )


def bars(scores: Sequence[CareerScore]) -> list[Bar]:
    """All bars."""
    return [
        *(bar for role in ("gain", "cost") for bar in _effect_bars(role, scores)),
        *_detection("clear phases", [one.found_clear for one in scores], 0.85, 0.80),
        *_detection("drawn phases", [one.found for one in scores], None, None),
        _bar(
            "phases proposed a year where there is none",
            lambda some: mean_of([one.found_steady for one in some]) / STEADY_YEARS,
            scores,
        ),
    ]


def _bar(name: str, statistic: Callable, scores: Sequence, **asked: Any) -> Bar:
    return measure_bar("priority", name, statistic, scores, **asked)


def _effect_bars(role: str, scores: Sequence[CareerScore]) -> list[Bar]:
    drawn = [one.drawn[role] for one in scores]
    without = [one.without[role] for one in scores]
    return [
        _bar(f"RMSE of the {role}", _rmse, drawn),
        _bar(f"RMSE of the {role} over before/after's", _ratio("before_after"), drawn, high=0.60),
        _bar(f"RMSE of the {role} over matched windows'", _ratio("placebo"), drawn, high=0.90),
        _bar(f"RMSE of the {role} over that of no {role}", _over_nothing, drawn, high=1.0),
        _bar(f"bias of the {role}", lambda some: mean_of(_error(some)), drawn),
        _bar(f"90 % interval of the {role} holds", _over("is_held_90"), drawn, low=0.83, high=0.96),
        _bar(f"{role} called where none is planted", _called, without, high=0.15),
        _bar(f"{role} called where planted", _called, drawn),
        _bar(f"wrong sign among called, {role}", _wrong, drawn, high=0.02),
    ]


def _all(some: Sequence[Sequence[EffectScore]]) -> list[EffectScore]:
    return [score for career in some for score in career]


def _error(some: Sequence[Sequence[EffectScore]]) -> np.ndarray:
    return np.array([one.found - one.true for one in _all(some)])


def _rmse(some: Sequence[Sequence[EffectScore]]) -> float:
    return root_mean_square(_error(some))


def _ratio(rival: str) -> Callable:
    def ratio(some: Sequence[Sequence[EffectScore]]) -> float:
        return _rmse(some) / root_mean_square(
            [getattr(one, rival) - one.true for one in _all(some)]
        )

    return ratio


def _over_nothing(some: Sequence[Sequence[EffectScore]]) -> float:
    return _rmse(some) / root_mean_square([one.true for one in _all(some)])


def _over(name: str) -> Callable:
    return lambda some: mean_of([getattr(one, name) for one in _all(some)])


def _called(some: Sequence[Sequence[EffectScore]]) -> float:
    return mean_of([one.called != 0 for one in _all(some)])


def _wrong(some: Sequence[Sequence[EffectScore]]) -> float:
    """0 where nothing is called: nothing is then called wrongly."""
    called = [one for one in _all(some) if one.called != 0]
    return mean_of([one.called == -np.sign(one.true) for one in called]) if called else 0.0


def _detection(
    label: str, scores: Sequence[DetectionScore], precision: float | None, recall: float | None
) -> list[Bar]:
    def share(part: str, of: str) -> Callable:
        return lambda some: (
            sum(getattr(one, part) for one in some) / max(sum(getattr(one, of) for one in some), 1)
        )

    near = "within 2 weeks"
    return [
        _bar(f"precision {near}, {label}", share("near", "found"), scores, low=precision),
        _bar(f"precision by overlap, {label}", share("overlapping", "found"), scores),
        _bar(f"recall {near}, {label}", share("clear_near", "clear"), scores, low=recall),
        _bar(f"recall by overlap, {label}", share("clear_overlapping", "clear"), scores),
    ]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
