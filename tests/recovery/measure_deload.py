"""Scores of deload detection, deload effect, layoff loss and return, against METHODS section d.

``python -m tests.recovery.measure_deload 20 [first]``: about two seconds a career. Every drawn
career is scored, and beside it one of a special kind, by turns, so that 200 careers hold at least
60 without an effect, 60 that ease off after bad weeks, 40 each with half the lifts spared and with
loads cut instead of sets, and 40 with six layoffs.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pipeline.models.simulate import Career, CareerOptions, simulate_career
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.recovery.deload_cases import (
    EffectScore,
    LayoffScores,
    find_deloads,
    score_effect,
    score_layoffs,
)

SPECIAL: tuple[tuple[str, dict[str, Any]], ...] = (
    ("partial", {"deload_kind": "partial"}),
    ("load_cut", {"deload_kind": "load_cut"}),
    ("after_bad_weeks", {"deload_kind": "after_bad_weeks"}),
    ("after_bad_weeks", {"deload_kind": "after_bad_weeks", "has_deload_effect": False}),
    ("layoffs", {"n_layoffs": 6, "rir_recorded_from": 0.0}),
)
SPECIAL_SEED = 10_000
LENGTHS = ((2, 3), (4, 6), (7, 16))


@dataclass(frozen=True)
class CaseScore:
    """One career: its kind, deload weeks (found and true, found, true), effects, layoffs.

    ``effect`` with the deload weeks told, ``effect_by_rule`` with those that the rule finds; None
    where refused.
    """

    kind: str
    detection: tuple[int, int, int]
    effect: EffectScore | None
    effect_by_rule: EffectScore | None
    layoffs: LayoffScores


CareerScore = tuple[CaseScore, CaseScore]


def measure_career(seed: int, career: Career | None = None) -> CareerScore:
    """The drawn career of this seed, and one of a special kind."""
    drawn = career or simulate_career(seed, CareerOptions(with_nights=False))
    kind, options = SPECIAL[seed % len(SPECIAL)]
    chosen = CareerOptions(with_nights=False, **options)
    special = simulate_career(SPECIAL_SEED + seed, chosen)
    return _score(drawn, _kind_of(drawn)), _score(special, kind)


def _kind_of(career: Career) -> str:
    is_reactive = any(event.why == "two bad weeks" for event in career.events)
    return "after_bad_weeks" if is_reactive else "drawn"


def _score(career: Career, kind: str) -> CaseScore:
    found = {deload.week for deload in find_deloads(career)}
    true = set(np.flatnonzero(career.truth.week_status == "deload").tolist())
    return CaseScore(
        kind,
        (len(found & true), len(found), len(true)),
        score_effect(career, true),
        score_effect(career, found),
        score_layoffs(career),
    )


def bars(scores: Sequence[CareerScore]) -> list[Bar]:
    """All that METHODS section d asks, and figures told beside it."""
    drawn = [pair[0] for pair in scores]
    cases = [case for pair in scores for case in pair]
    bad = [case for case in cases if case.kind == "after_bad_weeks"]
    return [
        *_detection("all drawn careers", drawn, 0.97, 0.93),
        *_detection("half the lifts spared", _of(cases, "partial"), 0.90, 0.80),
        *_detection("loads cut", _of(cases, "load_cut"), 0.90, 0.80),
        *_effect("drawn careers", drawn),
        *_after_bad_weeks(bad),
        *_calls(cases),
        *_by_rule(drawn),
        *_losses(cases),
        *_returns(cases),
    ]


def _of(cases: Sequence[CaseScore], kind: str) -> list[CaseScore]:
    return [case for case in cases if case.kind == kind]


def _bar(name: str, statistic: Callable, scores: Sequence, **asked: Any) -> list[Bar]:
    return [measure_bar("deload", name, statistic, scores, **asked)] if scores else []


def _detection(
    label: str, cases: Sequence[CaseScore], precision: float, recall: float
) -> list[Bar]:
    seen = [case.detection for case in cases]

    def share(of: int) -> Callable:
        return lambda some: float(np.sum([s[0] for s in some]) / np.sum([s[of] for s in some]))

    return [
        *_bar(f"precision of the rule, {label}", share(1), seen, low=precision),
        *_bar(f"recall of the rule, {label}", share(2), seen, low=recall),
    ]


def _effect(label: str, cases: Sequence[CaseScore]) -> list[Bar]:
    """Error in percentage points, interval, share answered."""
    known = [case.effect for case in cases if case.effect is not None]
    answered = [case.effect is not None for case in cases]
    return [
        *_bar(f"RMSE of the effect, {label}", _rmse, known, high=0.55),
        *_bar(f"bias of the effect, {label}", _bias, known, low=-0.15, high=0.15),
        *_bar(f"90 % interval holds, {label}", _held, known, low=0.85),
        *_bar(f"half width of the 90 % interval, {label}", _width, known),
        *_bar(f"95 % intervals of single deloads hold, {label}", _singles, known),
        *_bar(f"share answered, {label}", mean_of, answered, low=0.80),
    ]


def _after_bad_weeks(cases: Sequence[CaseScore]) -> list[Bar]:
    """The bar is the interval's. What made the weeks bad may last (hidden stress), and then no
    deload seems to help: bias and error are told."""
    known = [case.effect for case in cases if case.effect is not None]
    return [
        *_bar("RMSE of the effect, after bad weeks", _rmse, known),
        *_bar("bias of the effect, after bad weeks", _bias, known),
        *_bar("90 % interval holds, after bad weeks", _held, known, low=0.80),
    ]


def _rmse(some: Sequence[EffectScore]) -> float:
    return root_mean_square([one.error for one in some])


def _bias(some: Sequence[EffectScore]) -> float:
    return mean_of([one.error for one in some])


def _held(some: Sequence[EffectScore]) -> float:
    return mean_of([one.is_held_90 for one in some])


def _width(some: Sequence[EffectScore]) -> float:
    return mean_of([one.half_width for one in some])


def _singles(some: Sequence[EffectScore]) -> float:
    return mean_of([one.singles_held for one in some])


def _calls(cases: Sequence[CaseScore]) -> list[Bar]:
    """Effects called by the 95 % interval, where none is planted and where one is."""
    known = [case.effect for case in cases if case.effect is not None]
    none = [one.called != 0 for one in known if one.true == 0]
    some = [one for one in known if one.true != 0]
    wrong = [one.called == -np.sign(one.true) for one in some]
    right = [one.called == np.sign(one.true) for one in some]
    return [
        *_bar("called where none is planted", mean_of, none, high=0.15),
        *_bar("wrong sign", mean_of, wrong, high=0.02),
        *_bar("called where planted", mean_of, right),
    ]


def _by_rule(cases: Sequence[CaseScore]) -> list[Bar]:
    """The effect when nobody told the deloads."""
    known = [case.effect_by_rule for case in cases if case.effect_by_rule is not None]
    return [
        *_bar("RMSE of the effect, deloads found by rule", _rmse, known),
        *_bar("bias of the effect, deloads found by rule", _bias, known),
        *_bar("90 % interval holds, deloads found by rule", _held, known),
    ]


def _losses(cases: Sequence[CaseScore]) -> list[Bar]:
    """Loss on return by length of the layoff; careers are drawn whole."""
    every = [case.layoffs.losses for case in cases if case.layoffs.losses]
    found: list[Bar] = []
    for first, last in LENGTHS:
        own = [tuple(x for x in one if first <= x.weeks_off <= last) for one in every]
        own = [one for one in own if one]
        label = f"layoffs of {first} to {last} weeks"
        found += [
            *_bar(f"planted change on return, {label}", _over("true"), own),
            *_bar(f"bias of the change on return, {label}", _over("error"), own),
            *_bar(f"95 % interval holds, {label}", _over("is_held_95"), own),
        ]
    return found


def _over(name: str) -> Callable:
    return lambda careers: mean_of([getattr(x, name) for one in careers for x in one])


def _returns(cases: Sequence[CaseScore]) -> list[Bar]:
    """Weeks to nine tenths for each week off, over careers with a rule."""
    known = [case.layoffs.regain for case in cases if case.layoffs.regain is not None]
    names = {
        "weeks to regain for each week off, planted": "true",
        "weeks to regain for each week off, found": "found",
        "95 % interval of weeks to regain holds": "is_held_95",
        "interval of weeks to regain has an upper end": "is_bounded",
    }

    def mean(name: str) -> Callable:
        return lambda some: mean_of([getattr(one, name) for one in some])

    return [bar for told, name in names.items() for bar in _bar(told, mean(name), known)]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
