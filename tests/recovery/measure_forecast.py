"""Scores of the forecast: careers cut a year before their end, and invented competitors.

Careers: every muscle index and the most trained barbell lifts are fitted on the record without its
last year, then forecast 6 and 12 months ahead of the last level; the truth is the planted level,
both counted from the fitted height. A group's drift is learnt from the other half of the careers.
Errors are log x 100. Competitors (``competitors``): the last total of people kept apart, in kg.

Run ``python -m tests.recovery.measure_forecast 20`` for all bars over 20 careers.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from pipeline.core.errors import Refusal
from pipeline.models.forecast.predict import GroupDrift, fit_drift, forecast
from pipeline.models.forecast.steps import History
from pipeline.models.simulate import Career, simulate_career
from pipeline.models.strength.lift_level import LiftLevel
from pipeline.models.strength.muscle_index import MuscleIndex
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.recovery.competitors import POPULATIONS, Habit, invent_people
from tests.recovery.measure_levels import fit_lift, fit_muscle

MODEL = "forecast"
KEPT_BACK = 53  # weeks
AHEAD = {"6 months": 26, "12 months": 52}
LIFTS = 3
MUSCLES_EVERY = 2  # every second muscle: half the time, nearly all of the news
EVERY_WEEKS = 26
PEOPLE = 6000  # competitors: one half teaches, the other is forecast
# 29.9 kg against 30.6 of "no change" (METHODS f), for the population as assumed; where the
# assumptions are broken the forecast must not be worse than "no change".
MOST_OF_LAST = 29.9 / 30.6
ASSUMED = "log-time growth"


@dataclass(frozen=True)
class Ahead:
    """One series: what was known, and the planted change from the last level, log x 100."""

    kind: str
    history: History
    change: dict[str, float]


CareerScore = tuple[int, list[Ahead]]


def measure_career(seed: int, career: Career | None = None) -> CareerScore:
    """Histories and what came after them, of one career."""
    whole = simulate_career(seed) if career is None else career
    cut = cut_career(whole, whole.n_weeks - KEPT_BACK)
    found: list[Ahead] = []
    for muscle in range(0, len(cut.muscles), MUSCLES_EVERY):
        truth = whole.truth.muscle_index_log[muscle]
        found += _look_ahead("muscle", fit_muscle(cut, muscle), truth, cut)
    for lift in barbell_lifts(cut):
        truth = whole.truth.lift_level_log[lift]
        found += _look_ahead("lift", fit_lift(cut, lift), truth, cut)
    return seed, found


def cut_career(career: Career, n_weeks: int) -> Career:
    """The career as it stood after so many weeks."""
    sets = career.sets
    kept = sets.week < n_weeks
    names = list(sets.__dataclass_fields__)
    return replace(
        career,
        n_weeks=n_weeks,
        sets=replace(sets, **{name: getattr(sets, name)[kept] for name in names}),
        truth=replace(career.truth, weekly_sets=career.truth.weekly_sets[:, :n_weeks]),
    )


def barbell_lifts(career: Career) -> list[int]:
    counts = np.bincount(career.sets.exercise, minlength=len(career.exercises))
    known = [at for at, lift in enumerate(career.exercises) if lift.equipment == "barbell"]
    return sorted(known, key=lambda at: -counts[at])[:LIFTS]


def _look_ahead(
    kind: str, fit: LiftLevel | MuscleIndex | Refusal, truth: NDArray[np.float64], cut: Career
) -> list[Ahead]:
    """Nothing where there is no level, or the lift was last done half a year before the cut."""
    if isinstance(fit, Refusal):
        return []
    seen = np.flatnonzero(fit.is_trained)
    last = int(seen[-1])
    if last < cut.n_weeks - 26:
        return []
    weeks = np.arange(last, seen[0] + 8, -EVERY_WEEKS)[::-1]
    if not weeks.size:
        return []
    height = float(np.mean(fit.level_log[seen] - truth[seen]))
    history = History(
        weeks / WEEKS_PER_YEAR,
        np.exp(fit.level_log[weeks]),
        cut.training_age_at_start + float(weeks[0]) / WEEKS_PER_YEAR,
        fit.se[weeks],
    )
    change = {
        name: 100.0 * float(truth[last + weeks_on] + height - fit.level_log[last])
        for name, weeks_on in AHEAD.items()
    }
    return [Ahead(kind, history, change)]


def bars(scores: Sequence[CareerScore]) -> list[Bar]:
    """Bars of the careers, forecast by published drift and by the other half; then competitors."""
    found = bars_of_careers(scores)
    for name, habit in POPULATIONS.items():
        found += competitor_bars(name, habit)
    return found


def bars_of_careers(scores: Sequence[CareerScore]) -> list[Bar]:
    """Bars of the careers alone."""
    found: list[Bar] = []
    groups = {name: _learn_from_others(scores, weeks_on) for name, weeks_on in AHEAD.items()}
    for source in ("published drift", "other careers' drift"):
        for kind in ("muscle", "lift"):
            for name, weeks_on in AHEAD.items():
                rows = [
                    _score_career(score, kind, name, weeks_on, groups[name].get((seed % 2, kind)))
                    if source != "published drift"
                    else _score_career(score, kind, name, weeks_on, None)
                    for seed, score in scores
                ]
                found += _career_bars(f"{kind}, {name}, {source}", rows)
    return found


def _learn_from_others(
    scores: Sequence[CareerScore], weeks_on: int
) -> dict[tuple[int, str], GroupDrift | None]:
    """Drift over so many weeks for careers of even and of odd seeds, each from the others."""
    learnt: dict[tuple[int, str], GroupDrift | None] = {}
    years = weeks_on / WEEKS_PER_YEAR
    for half in (0, 1):
        for kind in ("muscle", "lift"):
            owners = [(s, one) for s, score in scores if s % 2 != half for one in score]
            owners = [(s, one) for s, one in owners if one.kind == kind]
            drift = fit_drift([one.history for _, one in owners], years, [s for s, _ in owners])
            learnt[half, kind] = None if isinstance(drift, Refusal) else drift
    return learnt


@dataclass(frozen=True)
class Errors:
    """Of one career's series: forecast and "no change", log x 100, and whether inside."""

    forecast: NDArray[np.float64]
    last: NDArray[np.float64]
    inside: NDArray[np.bool_]


def _score_career(
    score: list[Ahead], kind: str, name: str, weeks_on: int, group: GroupDrift | None
) -> Errors:
    rows = []
    for one in score:
        if one.kind != kind:
            continue
        made = forecast(one.history, weeks_on / WEEKS_PER_YEAR, group)
        if isinstance(made, Refusal):
            continue
        value, low, high = (
            100.0 * float(np.log(end / made.last)) for end in (made.value, made.low, made.high)
        )
        true = one.change[name]
        rows.append((value - true, -true, low <= true <= high))
    parts = np.array(rows, dtype=float).reshape(-1, 3)
    return Errors(parts[:, 0], parts[:, 1], parts[:, 2] > 0)


def _joined(rows: Sequence[Errors], part: str) -> NDArray[np.float64]:
    return np.concatenate([getattr(row, part) for row in rows]).astype(float)


def _career_bars(label: str, rows: Sequence[Errors]) -> list[Bar]:
    def error(part: str, chosen: Sequence[Errors]) -> float:
        return mean_of(np.abs(_joined(chosen, part)))

    bar = partial(measure_bar, MODEL, scores=rows)
    return [
        bar(f"{label}: mean absolute error", statistic=partial(error, "forecast")),
        bar(f"{label}: that of no change", statistic=partial(error, "last")),
        bar(
            f"{label}: forecast less no change",
            statistic=lambda chosen: error("forecast", chosen) - error("last", chosen),
            high=0.0,
        ),
        bar(f"{label}: mean error", statistic=lambda chosen: mean_of(_joined(chosen, "forecast"))),
        bar(
            f"{label}: 80 % interval holds",
            statistic=lambda chosen: mean_of(_joined(chosen, "inside")),
            low=0.77,
        ),
    ]


@dataclass(frozen=True)
class Apart:
    """Competitors kept apart: errors of the forecast and of the last total in kg, whether inside,
    and how many were asked for."""

    error: NDArray[np.float64]
    last_error: NDArray[np.float64]
    inside: NDArray[np.bool_]
    asked: int


def forecast_apart(seed: int, habit: Habit, n: int = PEOPLE) -> Apart:
    """Learn from one half, forecast the last total of the other."""
    people = invent_people(seed, n, habit)
    group = fit_drift(people[: n // 2])
    assert isinstance(group, GroupDrift)
    rows = []
    for one in people[n // 2 :]:
        ahead = float(one.years[-1] - one.years[-2])
        made = forecast(one.until(one.years.size - 2), ahead, group)
        if isinstance(made, Refusal):  # a gap of more than ten years
            continue
        true = float(one.values[-1])
        rows.append((made.value - true, made.last - true, made.low <= true <= made.high))
    parts = np.array(rows, dtype=float)
    return Apart(parts[:, 0], parts[:, 1], parts[:, 2] > 0, n - n // 2)


def competitor_bars(name: str, habit: Habit, seed: int = 1, n: int = PEOPLE) -> list[Bar]:
    """METHODS f on one invented population."""
    seen = forecast_apart(seed, habit, n)
    gain = np.abs(seen.error) - np.abs(seen.last_error)
    share = float(np.abs(seen.error).mean() / np.abs(seen.last_error).mean())
    se_gain = _se(gain)
    label = f"competitors, {name}"

    def bar(
        what: str, value: float, se: float, low: float | None = None, high: float | None = None
    ) -> Bar:
        return Bar(MODEL, f"{label}: {what}", value, se, seen.error.size, low, high)

    worst = np.abs(seen.last_error).mean()
    most, apart = (MOST_OF_LAST, -2.0) if name == ASSUMED else (1.0, 0.0)
    answered = seen.error.size / seen.asked
    se_answered = float(np.sqrt(answered * (1.0 - answered) / seen.asked))
    return [
        bar("share answered", answered, se_answered, low=0.99),
        bar("mean absolute error, kg", float(np.abs(seen.error).mean()), _se(np.abs(seen.error))),
        bar("share of that of the last total", share, se_gain / worst, high=most),
        bar("paired difference in standard errors", float(gain.mean() / se_gain), 1.0, high=apart),
        bar("mean error, kg", float(seen.error.mean()), _se(seen.error), low=-3.0, high=3.0),
        bar(
            "80 % interval holds",
            float(seen.inside.mean()),
            _se(seen.inside.astype(float)),
            low=0.77,
            high=0.83,
        ),
    ]


def _se(values: NDArray[np.float64]) -> float:
    return float(values.std(ddof=1) / np.sqrt(values.size))


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
