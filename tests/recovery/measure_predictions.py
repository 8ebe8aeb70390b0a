"""Kept forecasts scored as a refresh scores them: against the level fitted once the day has come.

Careers are cut at several dates; muscle indexes and the most trained barbell lifts are fitted on
what was known then, forecast 26 and 52 weeks ahead by the published drift, and read off the fit of
the whole career.

Run ``python -m tests.recovery.measure_predictions 20 1000``. Seeds 1000 to 1073 and 1100 to
1149 chose the two numbers of ``models.forecast.refit``; seeds 1200 to 1239 were first opened
afterwards.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.forecast.predict import forecast
from pipeline.models.forecast.refit import expect_fitted
from pipeline.models.forecast.scores import Kept, score_kept
from pipeline.models.forecast.steps import History
from pipeline.models.simulate import Career, simulate_career
from pipeline.models.strength.lift_level import LiftLevel
from pipeline.models.strength.muscle_index import MuscleIndex
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.recovery.measure_forecast import (
    EVERY_WEEKS,
    MUSCLES_EVERY,
    barbell_lifts,
    cut_career,
)
from tests.recovery.measure_levels import fit_lift, fit_muscle

MODEL = "predictions"
CUTS = (0.4, 0.55, 0.7, 0.8, 0.9)  # of the career
AHEAD = (26, 52)
NEAR = 8  # weeks about the day within which the lift or muscle was trained
Fit = LiftLevel | MuscleIndex


@dataclass(frozen=True)
class Prediction:
    """One forecast: error and that of "no change" in log x 100, half-year of its day, subject."""

    kind: str
    weeks: int
    error: float
    error_unchanged: float
    is_inside: bool
    span: int
    subject: int


def measure_career(seed: int, career: Career | None = None) -> list[Prediction]:
    """Every prediction of one career whose day came."""
    whole = simulate_career(seed) if career is None else career
    places = [("muscle", at) for at in range(0, len(whole.muscles), MUSCLES_EVERY)]
    places += [("lift", at) for at in barbell_lifts(whole)]
    fits = {place: _fit(whole, *place) for place in places}
    found: list[Prediction] = []
    for cut in CUTS:
        known = cut_career(whole, round(cut * whole.n_weeks))
        for subject, ((kind, at), later) in enumerate(fits.items()):
            then = _fit(known, kind, at)
            if not isinstance(then, Refusal) and not isinstance(later, Refusal):
                found += _predict(kind, subject, then, later, known)
    return found


def _fit(career: Career, kind: str, at: int) -> Fit | Refusal:
    return fit_muscle(career, at) if kind == "muscle" else fit_lift(career, at)


def _predict(kind: str, subject: int, then: Fit, later: Fit, known: Career) -> list[Prediction]:
    seen, trained = np.flatnonzero(then.is_trained), np.flatnonzero(later.is_trained)
    last = int(seen[-1])
    weeks = np.arange(last, seen[0] + 8, -EVERY_WEEKS)[::-1]
    if last < known.n_weeks - NEAR or last - seen[0] < EVERY_WEEKS:
        return []
    history = History(
        weeks / WEEKS_PER_YEAR,
        np.exp(then.level_log[weeks]),
        known.training_age_at_start + float(weeks[0]) / WEEKS_PER_YEAR,
        then.se[weeks],
    )
    rows = []
    for ahead in AHEAD:
        day = last + ahead
        if day > trained[-1] or np.abs(trained - day).min() > NEAR:
            continue
        made = forecast(history, ahead / WEEKS_PER_YEAR)
        assert not isinstance(made, Refusal)
        told = expect_fitted(made, float(then.se[last]))
        # A muscle's index counts from its first week, a lift's level is in kg.
        zero = (
            float(later.level_log[seen[0]] - then.level_log[seen[0]]) if kind == "muscle" else 0.0
        )
        came = float(later.level_log[day]) - zero
        rows.append(
            Prediction(
                kind=kind,
                weeks=ahead,
                error=100.0 * (came - float(np.log(told.value))),
                error_unchanged=100.0 * (came - float(np.log(told.last))),
                is_inside=bool(np.log(told.low) <= came <= np.log(told.high)),
                span=day // EVERY_WEEKS,
                subject=subject,
            )
        )
    return rows


def bars(scores: Sequence[list[Prediction]]) -> list[Bar]:
    """Shares inside by kind and weeks ahead, errors against no change, and the share's interval."""
    found: list[Bar] = []
    bar = partial(measure_bar, MODEL, scores=scores)
    for kind in ("muscle", "lift"):
        for weeks in AHEAD:
            chosen = partial(_chosen, kind=kind, weeks=weeks)
            label = f"{kind}, {weeks} weeks"
            found += [
                bar(f"{label}: 80 % interval holds", partial(_holds, chosen), low=0.75, high=0.85),
                bar(f"{label}: error less that of no change", partial(_gain, chosen), high=0.0),
            ]
    everything = [one for score in scores for one in score]
    share = mean_of([one.is_inside for one in everything])
    told = [ends for ends in map(_ends, scores) if ends is not None]
    held = [low <= share <= high for low, high in told]
    widths = [high - low for low, high in told]
    answered = len(told) / len(scores)
    found += [
        measure_bar(MODEL, "share answered", mean_of, [answered]),
        measure_bar(
            MODEL, "90 % interval of one lifter's share holds that of all", mean_of, held, low=0.82
        ),
        measure_bar(MODEL, "width of that interval", mean_of, widths),
    ]
    return found


def _chosen(score: Sequence[Prediction], kind: str, weeks: int) -> list[Prediction]:
    return [one for one in score if one.kind == kind and one.weeks == weeks]


def _holds(chosen: partial[list[Prediction]], scores: Sequence[list[Prediction]]) -> float:
    return mean_of([one.is_inside for score in scores for one in chosen(score)])


def _gain(chosen: partial[list[Prediction]], scores: Sequence[list[Prediction]]) -> float:
    rows = [one for score in scores for one in chosen(score)]
    return mean_of([abs(one.error) - abs(one.error_unchanged) for one in rows])


def _ends(score: list[Prediction]) -> tuple[float, float] | None:
    kept = Kept(
        inside=np.array([one.is_inside for one in score], dtype=bool),
        error=np.array([one.error for one in score]),
        error_unchanged=np.array([one.error_unchanged for one in score]),
        span=np.array([one.span for one in score], dtype=np.int64),
        subject=np.array([one.subject for one in score], dtype=np.int64),
    )
    found = score_kept(kept)
    return None if isinstance(found, Refusal) else found.share[1:]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
