"""Do the best-supported sets hold under another count, another prior, fewer years, shuffled weeks?

Every variant fits the muscles once, on the indexes as they are, and is read at the middle of each
finding's band of training age.

* ``shuffled_weeks``: pieces of 13 weeks of sets change places, the same for all muscles;
* ``left_out_year``: the levels of one year of training are not read;
* ``drop_rule``: a drop counts half a set beside its parent; ``direct_only``: no indirect sets;
* ``prior``: the published centre 3 sets lower or higher, or its spread doubled;
* ``negative_control``: the sets of a muscle that shares no exercise, at this muscle's mean.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import Bools, Floats, Record
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.stability_rows import Check, Row, check_choice, check_shuffles, is_sided
from pipeline.findings.volume import (
    COVERAGE,
    energy_of_week,
    prior_of,
    weekly_body_weight,
    weeks_left_out,
)
from pipeline.models.volume_map import VolumePrior
from pipeline.models.volume_placebo import shuffle_weeks
from pipeline.models.volume_pool import MuscleWeeks, fit_volume_pool
from pipeline.models.volume_response import VolumeResponse

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

    def fit(self) -> Responses:
        """The response of each muscle."""
        return fit_volume_pool(
            self.weeks,
            self.age,
            priors=self.priors,
            body_weight_kg=self.body_weight_kg,
            energy=self.energy,
        ).answers

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


def check_volume(
    record: Record, tables: Mapping[str, pl.DataFrame], rows: list[Row]
) -> Iterator[Check]:
    """Every finding of ``rows`` (supported_sets) under every variant.

    ``tables`` holds ``model_muscle_index``, ``tidy_signal`` of the lifter and ``ref_prior``.
    """
    if not rows:
        return
    muscles = read_muscles(record, tables)
    shuffled = [one.fit() for one in _shuffles(muscles)]
    for row in rows:
        found = [_best(fits, row) for fits in shuffled]
        placebo = check_shuffles(row, "shuffled_weeks", "shuffled records", found)
        if placebo is not None:
            yield placebo
    for name, detail, variant in _choices(record, muscles):
        fits = variant.fit()
        for row in rows:
            best = _best(fits, row)
            if np.isfinite(best[0]):
                yield check_choice(row, name, detail, best)
    yield from _controls(record, muscles, rows)


def read_muscles(record: Record, tables: Mapping[str, pl.DataFrame]) -> Muscles:
    """The muscles that have an index, with everything that the fit of their sets reads."""
    indexes = read_indexes(record, tables["model_muscle_index"])
    return Muscles(
        weeks={
            one: MuscleWeeks(
                index.level_log, index.se, record.weekly_sets[one], weeks_left_out(record, one)
            )
            for one, index in indexes.items()
        },
        priors={one: prior_of(tables["ref_prior"], one) for one in indexes},
        age=record.training_age,
        body_weight_kg=weekly_body_weight(record, tables["tidy_signal"]),
        energy=energy_of_week(record),
    )


def _choices(record: Record, muscles: Muscles) -> Iterator[tuple[str, str, Muscles]]:
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


def _moved_by(off: float) -> Callable[[VolumePrior], VolumePrior]:
    return lambda prior: replace(prior, centre_sets=max(prior.centre_sets + off, 1.0))


def _widened(prior: VolumePrior) -> VolumePrior:
    return replace(prior, spread_sets=PRIOR_WIDER * prior.spread_sets)


def _shuffles(muscles: Muscles) -> Iterator[Muscles]:
    """The record with its sets shuffled, all muscles alike, so that they still go together."""
    for number in range(N_SHUFFLES):
        yield muscles.with_sets(
            {
                one: shuffle_weeks(week.weekly_sets, np.random.default_rng([SEED, number]))
                for one, week in muscles.weeks.items()
            }
        )


def _controls(record: Record, muscles: Muscles, rows: list[Row]) -> Iterator[Check]:
    """Each muscle against the sets of one that it shares no exercise with: they must show nothing.

    They show something when the interval leaves out the published average.
    """
    partner = _find_controls(record, sorted(muscles.weeks))
    fits = muscles.with_sets(
        {one: _scaled(muscles, one, partner.get(one)) for one in muscles.weeks}
    ).fit()
    for row in rows:
        other, (estimate, low, high) = partner.get(_muscle_of(row)), _best(fits, row)
        if other is not None and np.isfinite(estimate):
            is_found = is_sided({**row, "low": low, "high": high})
            detail = f"weekly sets of {other.replace('_', ' ')}"
            yield Check(row, "negative_control", detail, estimate, low, high, is_found)


def _find_controls(record: Record, muscles: list[str]) -> dict[str, str]:
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


def _scaled(muscles: Muscles, muscle: str, other: str | None) -> Floats:
    """The other muscle's sets at this one's mean; its own where it has no other."""
    own = muscles.weeks[muscle].weekly_sets
    if other is None:
        return own
    sets = muscles.weeks[other].weekly_sets
    return sets * np.nanmean(own) / max(float(np.nanmean(sets)), 1e-9)


def _best(fits: Responses, row: Row) -> tuple[float, float, float]:
    """Best sets (median, low, high) at the middle of the finding's band; nan when refused."""
    response = fits.get(_muscle_of(row))
    if not isinstance(response, VolumeResponse):
        return np.nan, np.nan, np.nan
    return response.best_sets((row["age_from"] + row["age_to"]) / 2, COVERAGE)


def _muscle_of(row: Row) -> str:
    return str(row["subject"].split(":", 1)[1])
