"""Scores of the strength models on simulated careers with known truth.

Run ``python -m tests.recovery.measure_levels 20`` for a table over 20 careers (about 4 s each);
``test_levels_recover`` holds a few careers to loose bars. Errors are log x 100, about per cent;
level errors after each series' own offset is taken out (METHODS a, b).
"""

import sys
import time
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pipeline.core.errors import Refusal
from pipeline.models.lift_level import LiftLevel, fit_lift_level
from pipeline.models.muscle_index import MuscleIndex, fit_muscle_index
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.slopes import WEEKS_PER_YEAR, fit_yearly_slopes, training_years

COVERAGE = 0.90
LIFTS_PER_CAREER = 3
SEGMENTED = ("machine", "cable")


@dataclass
class Score:
    """What was seen, one entry per series or slope; ``career`` tells which they belong to."""

    level_rmse: list[float] = field(default_factory=list)
    offset: list[float] = field(default_factory=list)
    end_to_end: list[float] = field(default_factory=list)
    level_covered: list[float] = field(default_factory=list)
    height_covered: list[bool] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    slope_error: list[float] = field(default_factory=list)
    slope_se: list[float] = field(default_factory=list)
    is_covered: list[bool] = field(default_factory=list)
    career: list[int] = field(default_factory=list)
    refused: int = 0
    slopes_refused: int = 0

    def figures(self) -> dict[str, float]:
        """The figures of METHODS a and b."""
        error = np.array(self.slope_error)
        return {
            "series": len(self.level_rmse),
            "answered": len(self.level_rmse) / max(len(self.level_rmse) + self.refused, 1),
            "level_rmse": float(np.sqrt(np.mean(np.square(self.level_rmse)))),
            "offset": float(np.mean(self.offset)),
            "slope_rmse": float(np.sqrt(np.mean(error**2))),
            "slope_bias": float(error.mean()),
            "coverage": float(np.mean(self.is_covered)),
            "level_coverage": float(np.mean(self.level_covered)),
            "height_coverage": float(np.mean(self.height_covered or [np.nan])),
            "slopes_answered": error.size / max(error.size + self.slopes_refused, 1),
            "end_to_end": float(np.median(self.end_to_end)),
            "seconds": float(np.mean(self.seconds)),
        }

    def standard_errors(self) -> dict[str, float]:
        """Standard errors over careers of RMSE, bias and coverage of the slopes."""
        career, error = np.array(self.career), np.array(self.slope_error)
        covered = np.array(self.is_covered, dtype=float)
        groups = [career == k for k in np.unique(career)]
        root = np.sqrt(max(len(groups), 1))
        rmse = [np.sqrt(np.mean(error[g] ** 2)) for g in groups]
        return {
            "slope_rmse": float(np.std(rmse) / root),
            "slope_bias": float(np.std([error[g].mean() for g in groups]) / root),
            "coverage": float(np.std([covered[g].mean() for g in groups]) / root),
        }


def usable_sets(career: Career) -> NDArray[np.bool_]:
    """Working sets, first segments only."""
    return ~career.sets.is_warmup & (career.sets.segment_no == 1)


def fit_lift(career: Career, exercise: int, is_declared: bool = True) -> LiftLevel | Refusal:
    """Level of one lift as the findings fit it."""
    s = career.sets
    own = usable_sets(career) & (s.exercise == exercise)
    lift = career.exercises[exercise]
    muscles = [career.muscles.index(name) for name in lift.direct]
    segmented = is_declared and lift.equipment in SEGMENTED
    return fit_lift_level(
        s.week[own],
        s.load_moved_kg[own],
        s.reps[own],
        s.rir[own],
        n_weeks=career.n_weeks,
        session=s.session[own],
        recent_sets=career.truth.weekly_sets[muscles].mean(axis=0),
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
    score: Score,
    fit: LiftLevel | MuscleIndex | Refusal,
    truth: NDArray,
    career: Career,
    key: int,
    is_segmented: bool = False,
) -> None:
    """Add one fitted series; the height of machines is not scored (another gym, other units)."""
    if isinstance(fit, Refusal):
        score.refused += 1
        return
    seen = np.flatnonzero(fit.is_trained)
    error = 100.0 * (fit.level_log - truth)[seen]
    score.offset.append(float(error.mean()))
    score.level_rmse.append(float(error.std()))
    inside = np.abs(error - error.mean()) <= 1.645 * 100.0 * fit.se[seen]
    score.level_covered.append(float(inside.mean()))
    if isinstance(fit, LiftLevel) and not is_segmented:
        score.height_covered.append(abs(error.mean()) <= 1.645 * 100.0 * fit.height_se)
    score.end_to_end.append(abs(float(error[-1] - error[0])))
    windows = training_years(career.training_age_at_start, career.n_weeks)
    for _, slope in fit_yearly_slopes(fit, windows, COVERAGE):
        if isinstance(slope, Refusal):
            score.slopes_refused += 1
            continue
        years = (slope.week_to - slope.week_from) / WEEKS_PER_YEAR
        true = 100.0 * (truth[slope.week_to] - truth[slope.week_from]) / years
        score.slope_error.append(slope.pct_per_year - true)
        score.slope_se.append(slope.se)
        score.is_covered.append(slope.low <= true <= slope.high)
        score.career.append(key)


@lru_cache(maxsize=8)
def simulated(seed: int) -> Career:
    """One career without nights, which strength does not need."""
    return simulate_career(seed, CareerOptions(with_nights=False))


def measure_levels(seeds: range, is_declared: bool = True) -> dict[str, Score]:
    """Scores of barbell lifts, machines and cables, and muscles over careers."""
    scores = {"barbell lifts": Score(), "machines": Score(), "muscles": Score()}
    for seed in seeds:
        measure_lifts(scores["barbell lifts"], seed, ("barbell",), is_declared)
        measure_lifts(scores["machines"], seed, SEGMENTED, is_declared)
        measure_muscles(scores["muscles"], seed, is_declared)
    return scores


def measure_lifts(score: Score, seed: int, kinds: tuple[str, ...], is_declared: bool) -> None:
    """Add one career's most trained lifts of these kinds of equipment."""
    career = simulated(seed)
    for exercise in _most_trained(career, kinds):
        start = time.perf_counter()
        fit = fit_lift(career, exercise, is_declared)
        score.seconds.append(time.perf_counter() - start)
        truth = career.truth.lift_level_log[exercise]
        score_fit(score, fit, truth, career, seed, kinds == SEGMENTED)


def measure_muscles(score: Score, seed: int, is_declared: bool) -> None:
    """Add all muscles of one career."""
    career = simulated(seed)
    for muscle in range(len(career.muscles)):
        start = time.perf_counter()
        index = fit_muscle(career, muscle, is_declared)
        score.seconds.append(time.perf_counter() - start)
        score_fit(score, index, career.truth.muscle_index_log[muscle], career, seed)


def _most_trained(career: Career, kinds: tuple[str, ...]) -> list[int]:
    counts = np.bincount(career.sets.exercise, minlength=len(career.exercises))
    chosen = [e for e, lift in enumerate(career.exercises) if lift.equipment in kinds]
    return sorted(chosen, key=lambda e: -counts[e])[:LIFTS_PER_CAREER]


def main(n_careers: int, first: int = 0) -> None:
    """Print the table, gym changes declared and undeclared."""
    for label, is_declared in (("declared", True), ("undeclared", False)):
        scores = measure_levels(range(first, first + n_careers), is_declared=is_declared)
        print(f"gym changes {label}, {n_careers} careers")
        for name, score in scores.items():
            parts = [f"{key} {value:.2f}" for key, value in score.figures().items()]
            errors = [f"{key} {value:.2f}" for key, value in score.standard_errors().items()]
            print(f"  {name}: {', '.join(parts)}; standard errors: {', '.join(errors)}")


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
