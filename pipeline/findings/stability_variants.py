"""A lifter's weekly sets and indexes, and the same with one thing changed, for the checks.

* ``shuffle_records``: pieces of 13 weeks of sets change places, the same for all muscles;
* ``list_choices``: the levels of one year of training not read; a drop counting half a set beside
  its parent; no indirect sets; the published centre 3 sets lower or higher, its spread doubled,
  and without the other lifters where they were used;
* ``find_controls``: for each muscle one that shares no exercise with it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Record
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.volume_record import (
    COVERAGE,
    energy_of_week,
    muscle_weeks,
    prior_of,
    weekly_body_weight,
)
from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.group import GroupShift
from pipeline.models.volume.placebo import shuffle_weeks
from pipeline.models.volume.pool import MuscleWeeks, VolumePool, fit_volume_pool
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.trend import ToleranceTrend, fit_tolerance_trend

N_SHUFFLES = 10
SEED = 19_350_601
HALF_A_SET = 0.5
PRIOR_OFF_SETS = 3.0
PRIOR_WIDER = 2.0

Responses = Mapping[str, VolumeResponse | Refusal]


@dataclass(frozen=True)
class Muscles:
    """All muscles of a lifter as the fit takes them; a variant changes some of it."""

    weeks: Mapping[str, MuscleWeeks]
    priors: Mapping[str, VolumePrior]
    age: Floats
    body_weight_kg: Floats | None
    energy: Floats | None
    group: GroupShift | None = None

    def fit(self) -> Responses:
        """The response of each muscle."""
        return self.fit_pool().answers

    def fit_pool(self) -> VolumePool:
        """The fit of all muscles together."""
        return fit_volume_pool(
            self.weeks,
            self.age,
            priors=self.priors,
            body_weight_kg=self.body_weight_kg,
            energy=self.energy,
            group=self.group,
        )

    def fit_trend(self) -> ToleranceTrend | Refusal:
        """How the best sets moved with training age, all muscles together."""
        return fit_tolerance_trend(
            self.weeks,
            self.age,
            priors=self.priors,
            body_weight_kg=self.body_weight_kg,
            energy=self.energy,
            group=self.group,
            coverage=COVERAGE,
        )

    def with_sets(self, weekly: Mapping[str, Floats]) -> "Muscles":
        """The same with other weekly sets."""
        weeks = {one: replace(week, weekly_sets=weekly[one]) for one, week in self.weeks.items()}
        return replace(self, weeks=weeks)

    def without(self, left_out: Bools) -> "Muscles":
        """The same, the levels of some weeks not read."""
        weeks = {
            one: replace(week, left_out=week.left_out | left_out)
            for one, week in self.weeks.items()
        }
        return replace(self, weeks=weeks)

    def with_priors(self, change: Callable[[VolumePrior], VolumePrior]) -> "Muscles":
        """The same with every prior changed."""
        return replace(self, priors={one: change(prior) for one, prior in self.priors.items()})


def read_muscles(
    record: Record, tables: Mapping[str, pl.DataFrame], group: GroupShift | None = None
) -> Muscles:
    """The muscles that have an index, with everything that the fit of their sets reads."""
    indexes = read_indexes(record, tables["model_muscle_index"])
    return Muscles(
        weeks=muscle_weeks(record, indexes),
        priors={one: prior_of(tables["ref_prior"], one) for one in indexes},
        age=record.training_age,
        body_weight_kg=weekly_body_weight(record, tables["tidy_signal"]),
        energy=energy_of_week(record),
        group=group,
    )


def list_choices(record: Record, muscles: Muscles) -> Iterator[tuple[str, str, Muscles]]:
    """(check_name, detail, variant) of every choice that another person might have made."""
    year = np.floor(muscles.age).astype(int)
    for one in np.unique(year):
        yield "left_out_year", f"training age {one} to {one + 1}", muscles.without(year == one)
    halves = record.count_weekly_sets(drop_counts=HALF_A_SET)
    yield "drop_rule", "a drop counts half a set", muscles.with_sets(halves)
    direct = record.count_weekly_sets(indirect_counts=0.0)
    yield "direct_only", "indirect sets not counted", muscles.with_sets(direct)
    for off in (-PRIOR_OFF_SETS, PRIOR_OFF_SETS):
        side = "higher" if off > 0 else "lower"
        yield "prior", f"centre {abs(off):g} sets {side}", muscles.with_priors(_moved_by(off))
    yield "prior", "spread doubled", muscles.with_priors(_widened)
    if muscles.group is not None:
        yield "prior", "average alone, without other lifters", replace(muscles, group=None)


def _moved_by(off: float) -> Callable[[VolumePrior], VolumePrior]:
    return lambda prior: replace(prior, centre_sets=max(prior.centre_sets + off, 1.0))


def _widened(prior: VolumePrior) -> VolumePrior:
    return replace(prior, spread_sets=PRIOR_WIDER * prior.spread_sets)


def shuffle_records(muscles: Muscles) -> Iterator[Muscles]:
    """The record with its sets shuffled, all muscles alike, so that they still go together."""
    for number in range(N_SHUFFLES):
        yield muscles.with_sets(
            {
                one: shuffle_weeks(week.weekly_sets, np.random.default_rng([SEED, number]))
                for one, week in muscles.weeks.items()
            }
        )


def find_controls(record: Record, muscles: list[str]) -> dict[str, str]:
    """For each muscle the next in order that no exercise trains together with it."""
    together: dict[str, set[str]] = {one: {one} for one in muscles}
    for direct, indirect in record.muscles_of.values():
        trained = {*direct, *indirect}
        for one in trained & together.keys():
            together[one] |= trained
    found = {}
    for place, one in enumerate(muscles):
        others = muscles[place + 1 :] + muscles[:place]
        apart = next((other for other in others if other not in together[one]), None)
        if apart is not None:
            found[one] = apart
    return found


def scale_sets(muscles: Muscles, muscle: str, other: str | None) -> Floats:
    """The other muscle's sets at this one's mean; its own where it has no other."""
    own = muscles.weeks[muscle].weekly_sets
    if other is None:
        return own
    sets = muscles.weeks[other].weekly_sets
    return sets * np.nanmean(own) / max(float(np.nanmean(sets)), 1e-9)
