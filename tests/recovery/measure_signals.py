"""Signals against the next sessions' strength on simulated careers: the bars of METHODS section e.

``python -m tests.recovery.measure_signals 60 [first]``: about a second a seed. Each seed is four
careers: as drawn, with nothing planted, with hidden stress only, with a sleep effect only. The
lifter's own repetition slopes are left at 1 (the program uses those of the fitted lifts).
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models.signals.days import SIGNAL_KINDS, DailySignal, lay_signal
from pipeline.models.signals.effect import (
    Bouts,
    SignalEffect,
    fit_signal_effect,
    gather_bouts,
    log_set_strength,
)
from pipeline.models.signals.screen import held_of, screen_signals
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone

MODEL = "signals"
NEVER_PLANTED = ("steps", "body_weight_kg")
ASSUMED_LEFT = 2.0
CASES = {
    "nothing": CareerOptions(has_stress=False, has_sleep_effect=False),
    "stress": CareerOptions(has_stress=True, has_sleep_effect=False),
    "effect": CareerOptions(has_stress=False, has_sleep_effect=True),
}


@dataclass(frozen=True)
class SleepScore:
    """One career. ``error``, ``planted`` and ``unrecorded`` (the slope of sets without reserve) in
    points per hour; ``hits`` are names of signals that stand after the correction."""

    has_data: bool
    is_answered: bool
    planted: float
    error: float
    is_held_90: bool
    is_called: bool
    unrecorded: float
    hits: tuple[str, ...]


@dataclass(frozen=True)
class SignalScores:
    """The four careers of one seed."""

    drawn: SleepScore
    nothing: SleepScore
    stress: SleepScore
    effect: SleepScore


def measure_career(seed: int, career: Career | None = None) -> SignalScores:
    """Score the drawn career of a seed and its three special cases."""
    special = {name: score_sleep(simulate_career(seed, one)) for name, one in CASES.items()}
    return SignalScores(score_sleep(career or simulate_career(seed)), **special)


def score_sleep(career: Career) -> SleepScore:
    """One career's sleep effect against the planted one, and what the screen lets pass."""
    signals, bouts = signals_of(career), bouts_of(career)
    screen = screen_signals(bouts, signals) if signals else ()
    effect = next((one.effect for one in screen if one.name == "sleep_min"), None)
    planted = career.truth.sleep_effect_pct_per_h
    hits = tuple(one.name for one in screen if one.is_hit)
    recorded = np.isin(bouts.day, np.flatnonzero(_is_slept(signals, career)))
    if not isinstance(effect, SignalEffect):
        nan = float("nan")
        return SleepScore(bool(recorded.any()), False, planted, nan, False, False, nan, hits)
    low, high = effect.interval(0.90)
    clear_low, clear_high = effect.interval(0.95)
    return SleepScore(
        has_data=bool(recorded.any()),
        is_answered=True,
        planted=planted,
        error=effect.effect_pct - planted,
        is_held_90=bool(low <= planted <= high),
        is_called=bool(clear_low > 0 or clear_high < 0),
        unrecorded=_fit_unrecorded(career, signals),
        hits=hits,
    )


def signals_of(career: Career) -> dict[str, DailySignal]:
    """The nightly table of a career, as the program takes it."""
    nights, n_days = career.nights, 7 * career.n_weeks
    found = {}
    for kind in SIGNAL_KINDS:
        reading = getattr(nights, kind.name, None)
        if reading is not None and np.isfinite(reading).any():
            known = np.isfinite(reading)
            columns = (nights.day[known], reading[known], nights.device[known])
            found[kind.name] = lay_signal(kind, *columns, n_days)
    return found


def bouts_of(career: Career, recorded: bool = True) -> Bouts:
    """Lift-days from sets with (or without) recorded reserve, deload weeks left out."""
    sets, n_lifts = career.sets, len(career.exercises)
    changes = np.array([one.equipment in ("machine", "cable") for one in career.exercises])
    lift = sets.exercise + n_lifts * np.where(changes[sets.exercise], sets.gym, 0)
    own = ~sets.is_warmup & (sets.segment_no == 1) & (sets.load_moved_kg > 0)
    own &= career.truth.week_status[sets.week] == "trained"
    own &= np.isfinite(sets.rir) == recorded
    left = sets.rir[own] if recorded else np.full(int(own.sum()), ASSUMED_LEFT)
    slope = np.ones(left.size)
    strength = log_set_strength(sets.load_moved_kg[own], sets.reps[own], left, slope)
    return gather_bouts(sets.day[own], lift[own], strength)


def _is_slept(signals: dict[str, DailySignal], career: Career) -> np.ndarray:
    if "sleep_min" not in signals:
        return np.zeros(7 * career.n_weeks, dtype=bool)
    return np.isfinite(signals["sleep_min"].value)


def _fit_unrecorded(career: Career, signals: dict[str, DailySignal]) -> float:
    bouts = bouts_of(career, recorded=False)
    effect = fit_signal_effect(bouts, signals["sleep_min"], held_of(signals))
    return effect.effect_pct if isinstance(effect, SignalEffect) else float("nan")


def bars(scores: Sequence[SignalScores]) -> list[Bar]:
    """All "must reach" lines of METHODS section e, and what stands beside them."""
    return [*_effect_bars(scores), *_call_bars(scores), *_screen_bars(scores)]


def _effect_bars(scores: Sequence[SignalScores]) -> list[Bar]:
    drawn = [score.drawn for score in scores]
    answered = [score for score in drawn if score.is_answered]
    with_data = [score for score in drawn if score.has_data]

    def bar(name: str, statistic: Callable, **limits: float) -> Bar:
        return measure_bar(MODEL, name, statistic, answered, **limits)

    share = measure_bar(
        MODEL,
        "sleep answered, of careers with data",
        lambda some: mean_of([one.is_answered for one in some]),
        with_data,
        low=0.90,
    )
    return [
        share,
        bar(
            "sleep RMSE, points an hour",
            lambda some: root_mean_square([one.error for one in some]),
            high=0.20,
        ),
        bar(
            "sleep bias, points an hour",
            lambda some: mean_of([one.error for one in some]),
            low=-0.06,
            high=0.06,
        ),
        bar(
            "sleep 90 % interval holds",
            lambda some: mean_of([one.is_held_90 for one in some]),
            low=0.80,
        ),
    ]


def _call_bars(scores: Sequence[SignalScores]) -> list[Bar]:
    def called(case: str) -> Callable:
        return lambda some: mean_of([getattr(one, case).is_called for one in some])

    def answered(case: str) -> Callable:
        return lambda some: mean_of([getattr(one, case).is_answered for one in some])

    def unrecorded(some: Sequence[SignalScores]) -> float:
        known = [one.effect for one in some if np.isfinite(one.effect.unrecorded)]
        planted = mean_of([one.planted for one in known])
        return mean_of([one.unrecorded for one in known]) / planted if known else float("nan")

    return [
        measure_bar(MODEL, "sleep effect called where planted", called("effect"), scores, low=0.80),
        measure_bar(MODEL, "sleep called, nothing planted", called("nothing"), scores, high=0.10),
        measure_bar(MODEL, "sleep called, hidden stress only", called("stress"), scores, high=0.25),
        # What is not answered is not called either: the shares above are of all careers.
        measure_bar(MODEL, "sleep answered where planted", answered("effect"), scores),
        measure_bar(MODEL, "sleep answered, nothing planted", answered("nothing"), scores),
        measure_bar(MODEL, "sleep answered, hidden stress only", answered("stress"), scores),
        measure_bar(
            MODEL,
            "share of a sleep effect that sets without recorded reserve show",
            unrecorded,
            scores,
        ),
    ]


def _screen_bars(scores: Sequence[SignalScores]) -> list[Bar]:
    def any_hit(case: str) -> Callable:
        return lambda some: mean_of([bool(getattr(one, case).hits) for one in some])

    def stray(some: Sequence[SignalScores]) -> float:
        return mean_of([bool(set(NEVER_PLANTED) & set(one.effect.hits)) for one in some])

    return [
        measure_bar(
            MODEL, "any signal stands, nothing planted", any_hit("nothing"), scores, high=0.10
        ),
        measure_bar(
            MODEL, "any signal stands, hidden stress only", any_hit("stress"), scores, high=0.25
        ),
        measure_bar(MODEL, "steps or weight stand beside a sleep effect", stray, scores, high=0.10),
        measure_bar(
            MODEL,
            "sleep stands in the screen where planted",
            lambda some: mean_of(["sleep_min" in one.effect.hits for one in some]),
            scores,
        ),
    ]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
