"""The muscle index through injuries, against simulated truth.

Every drawn injury of a career takes out the lifts that strain its region; the rest of the pool
takes their place. Scored are the muscles that lost a quarter of their sets or more, as the findings
choose them: the index in each week of the injury, against the mean of the weeks before it, next to
the truth's own. ``python -m tests.recovery.measure_injury 20 [first]`` prints every bar.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.settings import default_settings
from pipeline.findings.index_weeks import IndexWeeks, read_indexes
from pipeline.findings.injuries.lifts import follow_lifts
from pipeline.findings.injuries.muscles import MuscleCourse, follow_muscles, weeks_before
from pipeline.findings.injuries.spans import Injury, LiftWeeks, find_injuries
from pipeline.findings.muscles import answer_muscles
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.simulated_record import muscles_of, record_of

INJURIES = 3
# Where the bars of other models draw their careers too, an injury is drawn in every seventh year.
OPTIONS = CareerOptions(n_injuries=INJURIES, with_nights=False)


@dataclass(frozen=True)
class CourseScore:
    """One muscle through one injury, per cent: mean and largest error of the index's path against
    the weeks before, error of the change to its last weeks, and whether its 95 % interval holds
    (None where that was refused); the true change, for scale."""

    mean_error: float
    largest_error: float
    end_error: float
    is_held: bool | None
    true_change: float


@dataclass(frozen=True)
class InjuryScore:
    """One career: a score for each muscle and injury, and how many injuries put lifts out."""

    courses: list[CourseScore]
    n_injuries: int


def measure_career(seed: int, career: Career | None = None) -> InjuryScore:
    """Score one career with three injuries; ``career`` is used where it has any itself."""
    if career is None or not any(one.kind == "injury" for one in career.events):
        career = simulate_career(seed, OPTIONS)
    return score_career(career)


def score_career(career: Career) -> InjuryScore:
    """Fit the muscles as a refresh does and compare them with the truth through each injury."""
    record = record_of(career)
    thresholds = default_settings().thresholds
    fitted = read_indexes(record, answer_muscles(record, muscles_of(career), thresholds).index)
    weeks, levels, scores = LiftWeeks(record), empty_frame("model_lift_level"), []
    # The first logged week of a career is its first week, so truth and record share their weeks.
    assert record.first_week == career.start
    injuries = list(find_injuries(record))
    for injury in injuries:
        lifts = follow_lifts(record, injury, weeks, levels)
        for course in follow_muscles(record, injury, weeks, lifts, fitted):
            truth = career.truth.muscle_index_log[career.muscles.index(course.muscle_id)]
            scored = _score(course, fitted[course.muscle_id], truth, injury)
            scores += [] if scored is None else [scored]
    return InjuryScore(scores, len(injuries))


def _score(
    course: MuscleCourse, index: IndexWeeks, truth: np.ndarray, injury: Injury
) -> CourseScore | None:
    """The errors of one course; None where the muscle was not trained on either side."""
    before = weeks_before(index, injury)
    week = np.arange(index.is_trained.size)
    within = (week >= injury.first) & (week <= injury.last) & index.is_trained
    if not (before.any() and within.any()):
        return None
    true = truth[: index.level_log.size] - truth[: index.level_log.size][before].mean()
    error = 100 * np.abs(index.level_log - index.level_log[before].mean() - true)[within]
    last = np.flatnonzero(within)[-4:]
    change, truly = course.through, 100 * float(true[last].mean())
    is_known = not isinstance(change, Refusal)
    return CourseScore(
        mean_error=float(error.mean()),
        largest_error=float(error.max()),
        end_error=change.pct - truly if is_known else float("nan"),
        is_held=bool(change.low <= truly <= change.high) if is_known else None,
        true_change=truly,
    )


def bars(scores: Sequence[InjuryScore]) -> list[Bar]:
    """The index through injuries: median and 90th percentile over careers, and its intervals."""

    def figure(name: str, take, low: float | None = None, high: float | None = None) -> Bar:
        return measure_bar("injury", name, take, scores, low=low, high=high)

    def over_careers(share: float, name: str):
        def take(some: Sequence[InjuryScore]) -> float:
            means = [
                mean_of([getattr(c, name) for c in one.courses]) for one in some if one.courses
            ]
            return float(np.percentile(means, share)) if means else float("nan")

        return take

    def over_courses(take):
        return lambda some: take([c for one in some for c in one.courses])

    return [
        figure(
            "error of the index through an injury, %, median",
            over_careers(50, "mean_error"),
            high=3.0,
        ),
        figure(
            "error of the index through an injury, %, 90th percentile",
            over_careers(90, "mean_error"),
            high=3.0,
        ),
        figure("largest error in any week of it, %, median", over_careers(50, "largest_error")),
        figure(
            "largest error in any week of it, %, 90th percentile", over_careers(90, "largest_error")
        ),
        figure(
            "bias of the change through it, %",
            over_courses(lambda all: mean_of([c.end_error for c in all])),
        ),
        figure(
            "true change through it, mean, %",
            over_courses(lambda all: mean_of([c.true_change for c in all])),
        ),
        figure(
            "95 % interval of the change holds",
            over_courses(lambda all: mean_of([c.is_held for c in all if c.is_held is not None])),
            low=0.88,
        ),
        figure(
            "share of changes answered",
            over_courses(lambda all: mean_of([c.is_held is not None for c in all])),
            low=0.90,
        ),
    ]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
