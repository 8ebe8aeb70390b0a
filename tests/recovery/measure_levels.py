"""Lift levels, muscle indexes and own repetition curves against simulated truth (METHODS a, b).

``python -m tests.recovery.measure_levels 20 [first]`` prints every bar, about 4 s a career. Errors
are log x 100, about per cent; those of a level after each series' own offset is taken out.
"""

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.strength.lift_level import LiftLevel, fit_lift_level
from pipeline.models.strength.muscle_index import MuscleIndex, fit_muscle_index
from pipeline.models.strength.slopes import WEEKS_PER_YEAR, fit_yearly_slopes, training_years
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone

COVERAGE, REACH = 0.90, 1.645
LIFTS_PER_CAREER = 3
SEGMENTED = ("machine", "cable")
TWO_YEARS = 104
KINDS = {"barbell": ("barbell",), "machines": SEGMENTED, "body weight": ("body_weight",)}


@dataclass(frozen=True)
class SeriesScore:
    """One fitted series: RMSE and mean of the level's error, error of the change from end to end,
    share of weeks whose 90 % interval of the course holds, whether that of the height does, errors
    of the yearly slopes and whether their intervals hold, slopes refused, seconds of the fit."""

    level_rmse: float
    offset: float
    end_to_end: float
    course_held: float
    is_height_held: bool
    slope_error: Floats
    is_slope_held: Bools
    n_slopes_refused: int
    seconds: float


@dataclass(frozen=True)
class LevelScore:
    """One career: series by kind (None where refused); seconds of all its lifts and muscles."""

    series: dict[str, list[SeriesScore | None]]
    seconds_all: float


def usable_sets(career: Career) -> Bools:
    """Working sets, first segments only."""
    return ~career.sets.is_warmup & (career.sets.segment_no == 1)


def fit_lift(
    career: Career, exercise: int, is_declared: bool = True, until: int | None = None
) -> LiftLevel | Refusal:
    """Level of one lift as the findings fit it, from its first ``until`` weeks if told."""
    s, n_weeks = career.sets, career.n_weeks if until is None else until
    own = usable_sets(career) & (s.exercise == exercise) & (s.week < n_weeks)
    lift = career.exercises[exercise]
    muscles = [career.muscles.index(name) for name in lift.direct]
    segmented = is_declared and lift.equipment in SEGMENTED
    return fit_lift_level(
        s.week[own],
        s.load_moved_kg[own],
        s.reps[own],
        s.rir[own],
        n_weeks=n_weeks,
        session=s.session[own],
        recent_sets=career.truth.weekly_sets[muscles, :n_weeks].mean(axis=0),
        segment=s.gym[own] if segmented else None,
        age_years=career.training_age_at_start,
    )


def fit_muscle(career: Career, muscle: int, is_declared: bool = True) -> MuscleIndex | Refusal:
    """Index of one muscle from the exercises that train it directly."""
    s, name = career.sets, career.muscles[muscle]
    direct = np.array([name in lift.direct for lift in career.exercises])
    own = usable_sets(career) & direct[s.exercise]
    return fit_muscle_index(
        s.week[own],
        s.exercise[own],
        s.load_moved_kg[own],
        s.reps[own],
        s.rir[own],
        n_weeks=career.n_weeks,
        n_exercises=len(career.exercises),
        segment=s.gym[own] if is_declared else None,
        is_segmented=np.array([lift.equipment in SEGMENTED for lift in career.exercises]),
        n_direct=np.array([len(lift.direct) for lift in career.exercises]),
        session=s.session[own],
        recent_sets=career.truth.weekly_sets[muscle],
        age_years=career.training_age_at_start,
    )


def score_fit(
    fit: LiftLevel | MuscleIndex | Refusal, truth: Floats, age: float, seconds: float
) -> SeriesScore | None:
    """Score one series against its true (n_weeks,) log level; ``age`` is that of the first week."""
    if isinstance(fit, Refusal):
        return None
    seen = np.flatnonzero(fit.is_trained)
    error = 100.0 * (fit.level_log - truth[: fit.level_log.size])[seen]
    height = 100.0 * fit.height_se if isinstance(fit, LiftLevel) else np.nan
    slopes, held, refused = [], [], 0
    for _, slope in fit_yearly_slopes(fit, training_years(age, fit.level_log.size), COVERAGE):
        if isinstance(slope, Refusal):
            refused += 1
            continue
        years = (slope.week_to - slope.week_from) / WEEKS_PER_YEAR
        true = 100.0 * (truth[slope.week_to] - truth[slope.week_from]) / years
        slopes.append(slope.pct_per_year - true)
        held.append(slope.low <= true <= slope.high)
    return SeriesScore(
        level_rmse=float(error.std()),
        offset=float(error.mean()),
        end_to_end=abs(float(error[-1] - error[0])),
        course_held=float(np.mean(np.abs(error - error.mean()) <= REACH * 100.0 * fit.se[seen])),
        is_height_held=abs(float(error.mean())) <= REACH * height,
        slope_error=np.array(slopes),
        is_slope_held=np.array(held, dtype=bool),
        n_slopes_refused=refused,
        seconds=seconds,
    )


def score_lift(
    career: Career, exercise: int, is_declared: bool = True, until: int | None = None
) -> SeriesScore | None:
    """Fit and score one lift, or its first ``until`` weeks."""
    began = time.process_time()
    fit = fit_lift(career, exercise, is_declared, until)
    seconds = time.process_time() - began
    truth = career.truth.lift_level_log[exercise]
    return score_fit(fit, truth, career.training_age_at_start, seconds)


def score_muscle(career: Career, muscle: int, is_declared: bool = True) -> SeriesScore | None:
    """Fit and score one muscle."""
    began = time.process_time()
    fit = fit_muscle(career, muscle, is_declared)
    seconds = time.process_time() - began
    truth = career.truth.muscle_index_log[muscle]
    return score_fit(fit, truth, career.training_age_at_start, seconds)


def most_trained(career: Career, equipment: tuple[str, ...]) -> list[int]:
    """The three lifts of these kinds of equipment with most sets."""
    counts = np.bincount(career.sets.exercise, minlength=len(career.exercises))
    chosen = [e for e, lift in enumerate(career.exercises) if lift.equipment in equipment]
    return sorted(chosen, key=lambda e: -counts[e])[:LIFTS_PER_CAREER]


def measure_career(seed: int, career: Career | None = None) -> LevelScore:
    """Score the lifts and muscles of one career; gym changes are declared unless a kind says so."""
    career = career or simulate_career(seed, CareerOptions())
    series: dict[str, list[SeriesScore | None]] = {}
    for kind, equipment in KINDS.items():
        series[kind] = [score_lift(career, e) for e in most_trained(career, equipment)]
    two = most_trained(career, ("barbell", "dumbbell"))
    series["two years"] = [score_lift(career, e, until=TWO_YEARS) for e in two]
    muscles = range(len(career.muscles))
    series["muscles"] = [score_muscle(career, m) for m in muscles]
    series["muscles undeclared"] = [score_muscle(career, m, is_declared=False) for m in muscles]
    began = time.process_time()
    for exercise in range(len(career.exercises)):
        fit_lift(career, exercise)
    lifts = time.process_time() - began
    of_muscles = sum(one.seconds for one in series["muscles"] if one is not None)
    return LevelScore(series, lifts + of_muscles)


def bars(scores: Sequence[LevelScore]) -> list[Bar]:
    """All bars of METHODS a and b, and what stands beside them without one."""
    return [
        *_bars_of(scores, "levels", "barbell", level=2.6, slope=3.1, bias=0.4, held=(0.85, 0.96)),
        *_bars_of(scores, "levels", "machines"),
        *_bars_of(scores, "levels", "body weight"),
        *_bars_of(scores, "levels", "two years"),
        *_bars_of(scores, "index", "muscles", level=2.5, slope=1.9, bias=0.3, held=(0.85, 0.97)),
        *_bars_of(scores, "index", "muscles undeclared", level=4.2, slope=3.0),
        measure_bar(
            "levels",
            "seconds a career, all lifts and muscles",
            lambda some: mean_of([one.seconds_all for one in some]),
            scores,
            high=3.0,
            note="of the whole chain",
        ),
    ]


def _bars_of(
    scores: Sequence[LevelScore],
    model: str,
    kind: str,
    level: float | None = None,
    slope: float | None = None,
    bias: float | None = None,
    held: tuple[float | None, float | None] = (None, None),
) -> list[Bar]:
    """Figures of one kind of series; its limits where METHODS gives them."""

    def bar(
        name: str,
        figure: Callable[[list[SeriesScore]], float],
        low: float | None = None,
        high: float | None = None,
    ) -> Bar:
        def statistic(some: Sequence[LevelScore]) -> float:
            known = [one for score in some for one in score.series[kind] if one is not None]
            return figure(known) if known else float("nan")

        return measure_bar(model, f"{kind}: {name}", statistic, scores, low=low, high=high)

    def answered(some: Sequence[LevelScore]) -> float:
        return mean_of([one is not None for score in some for one in score.series[kind]])

    is_lift, is_held_to = model == "levels", level is not None
    found = [
        bar("level RMSE, %", lambda s: root_mean_square([one.level_rmse for one in s]), high=level),
        bar("slope RMSE, %/year", lambda s: root_mean_square(_slopes(s)), high=slope),
        bar("|slope bias|, %/year", lambda s: abs(mean_of(_slopes(s))), high=bias),
        bar("90 % interval of a slope holds", lambda s: mean_of(_held(s)), *held),
        bar("90 % interval of the course holds", lambda s: mean_of([o.course_held for o in s])),
        bar(
            "end-to-end error, median, %",
            lambda s: float(np.median([one.end_to_end for one in s])),
            high=3.5 if kind == "muscles" else None,
        ),
        bar("share of years with a slope", lambda s: _held(s).size / _asked(s)),
        bar(
            "seconds each",
            lambda s: mean_of([one.seconds for one in s]),
            high=0.2 if is_lift and is_held_to else None,
        ),
        measure_bar(
            model,
            f"{kind}: share answered",
            answered,
            scores,
            low=0.95 if bias is not None else None,
        ),
    ]
    if is_lift and kind != "machines":  # a machine of another gym has other units
        limit = 4.0 if is_held_to else None
        found += [
            bar("|offset|, %", lambda s: abs(mean_of([one.offset for one in s])), high=limit),
            bar("90 % interval of the height holds", lambda s: mean_of(_heights(s))),
        ]
    return found


def _slopes(series: list[SeriesScore]) -> Floats:
    return np.concatenate([one.slope_error for one in series])


def _held(series: list[SeriesScore]) -> Bools:
    return np.concatenate([one.is_slope_held for one in series])


def _heights(series: list[SeriesScore]) -> list[float]:
    return [float(one.is_height_held) for one in series]


def _asked(series: list[SeriesScore]) -> int:
    return max(_held(series).size + sum(one.n_slopes_refused for one in series), 1)


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
