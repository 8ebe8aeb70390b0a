"""Best weekly sets with the other lifters of a folder against without them, on simulated truth.

``python -m tests.recovery.measure_group 40 [first]`` prints every bar, about 3 s a career. Careers
are taken as folders of ``LIFTERS``; each is answered alone, and again from the published centres as
the others of its folder move them, himself left out. Published centres are those of the simulated
population, or wrong by 3 sets for everybody, or the shipped ones, which are not the simulator's:
then a folder has something to tell. A standard error is over folders drawn anew, since the lifters
of one share what it learned.
"""

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.findings.volume_record import prior_of as shipped_prior
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.volume.group import LEAST_LIFTERS, GroupShift, LifterSummary, pool_others
from pipeline.models.volume.pool import VolumePool, fit_volume_pool
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.weekly_record import MuscleWeeks
from pipeline.reference import load_priors
from tests.recovery.bars import Bar, mean_of, measure_bar, root_mean_square, run_alone
from tests.recovery.volume_cases import ASKED_AT, pool_arguments, pool_cases, prior_of

LIFTERS = 20
OFF_BY = {"right": 0.0, "3 too high": 3.0, "3 too low": -3.0}
PRIORS = (*OFF_BY, "shipped")


@dataclass(frozen=True)
class LifterCase:
    """One career as the fit takes it, and the true best sets at the weeks that are asked about."""

    muscles: Mapping[str, MuscleWeeks]
    training_age_years: np.ndarray
    shared: Mapping[str, Any]
    asked: Sequence[int]
    true: Mapping[str, np.ndarray]

    def fit(self, prior: str, group: GroupShift | None = None) -> VolumePool:
        """All muscles, from one of ``PRIORS`` that a group may move."""
        priors = choose_priors(self.muscles, prior)
        ages = self.training_age_years
        return fit_volume_pool(self.muscles, ages, priors=priors, group=group, **self.shared)

    def score(self, pool: VolumePool) -> np.ndarray:
        """(n, 2) error in sets and whether the interval held, of every muscle that is answered."""
        rows = []
        for muscle, answer in pool.answers.items():
            if isinstance(answer, Refusal):
                continue
            for week, true in zip(self.asked, self.true[muscle], strict=True):
                estimate, low, high = answer.best_sets(float(self.training_age_years[week]))
                rows.append((estimate - true, float(low <= true <= high)))
        return np.array(rows, dtype=float).reshape(-1, 2)


@dataclass(frozen=True)
class CareerAlone:
    """A career with what it gave by itself: scores and summary by kind of prior."""

    seed: int
    case: LifterCase
    alone: dict[str, np.ndarray]
    summaries: dict[str, LifterSummary]


@dataclass(frozen=True)
class FolderScores:
    """Errors (n,) of the lifters of one folder without and with each other, and intervals held."""

    alone: np.ndarray
    together: np.ndarray
    held_alone: np.ndarray
    held_together: np.ndarray


def measure_career(seed: int, career: Career | None = None) -> CareerAlone:
    """Fit one career by itself under each prior."""
    case = make_lifter(career or simulate_career(seed, CareerOptions()))
    alone, summaries = {}, {}
    for name in PRIORS:
        pool = case.fit(name)
        alone[name], summaries[name] = case.score(pool), pool.summarise(f"{seed:06d}")
    return CareerAlone(seed, case, alone, summaries)


def choose_priors(muscles: Iterable[str], name: str) -> dict[str, VolumePrior]:
    """Priors by muscle, by the name of their kind."""
    if name == "shipped":
        table = load_priors()
        return {muscle: shipped_prior(table, muscle) for muscle in muscles}
    return {muscle: prior_of(muscle, OFF_BY[name]) for muscle in muscles}


def make_lifter(career: Career) -> LifterCase:
    """The case of a career."""
    cases = pool_cases(career)
    muscles, ages, shared = pool_arguments(cases)
    asked = [round(share * (career.n_weeks - 1)) for share in ASKED_AT]
    best = career.truth.best_sets
    true = {muscle: best[career.muscles.index(muscle)][asked] for muscle in muscles}
    return LifterCase(muscles, ages, shared, asked, true)


def bars(scores: Sequence[CareerAlone]) -> list[Bar]:
    """Error with the other lifters over error without, by prior; nothing with too few careers."""
    folders = [scores[at : at + LIFTERS] for at in range(0, len(scores), LIFTERS)]
    folders = [one for one in folders if len(one) > LEAST_LIFTERS]
    found: list[Bar] = []
    for name in PRIORS if folders else ():
        told = [score_folder(one, name) for one in folders]
        n = sum(map(len, folders))
        found += [
            measure_bar(
                "group", f"error with others over alone, {name} centre", _ratio, told, n=n, high=1.0
            ),
            measure_bar("group", f"RMSE alone, {name} centre", _rmse_alone, told, n=n),
            measure_bar(
                "group",
                f"interval holds with others, {name} centre",
                _held_together,
                told,
                n=n,
                low=0.82 if name == "right" else None,
            ),
            measure_bar("group", f"interval holds alone, {name} centre", _held_alone, told, n=n),
        ]
    return found


def score_folder(folder: Sequence[CareerAlone], name: str) -> FolderScores:
    """Every lifter of a folder answered again with what the others say."""
    groups = pool_others(one.summaries[name] for one in folder)
    together = [
        one.case.score(one.case.fit(name, groups.get(one.summaries[name].lifter_id)))
        for one in folder
    ]
    before, after = np.concatenate([one.alone[name] for one in folder]), np.concatenate(together)
    return FolderScores(before[:, 0], after[:, 0], before[:, 1], after[:, 1])


def _rmse_alone(told: Sequence[FolderScores]) -> float:
    return root_mean_square(np.concatenate([one.alone for one in told]))


def _ratio(told: Sequence[FolderScores]) -> float:
    return root_mean_square(np.concatenate([one.together for one in told])) / _rmse_alone(told)


def _held_alone(told: Sequence[FolderScores]) -> float:
    return mean_of(np.concatenate([one.held_alone for one in told]))


def _held_together(told: Sequence[FolderScores]) -> float:
    return mean_of(np.concatenate([one.held_together for one in told]))


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
