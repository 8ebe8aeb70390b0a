"""A record as the fit of weekly sets against progress takes it: weeks, priors, diet."""

from collections.abc import Mapping

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record, column
from pipeline.findings.easing_weekly import find_rest_weeks, long_layoffs
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.models.arrays import Bools, Floats
from pipeline.models.volume.response_curve import VolumePrior
from pipeline.models.volume.weekly_record import MuscleWeeks
from pipeline.models.weeks import mask_after

COVERAGE = 0.90  # of the intervals of best sets and of their trend


def muscle_weeks(record: Record, fitted: Mapping[str, IndexWeeks]) -> dict[str, MuscleWeeks]:
    """Weekly records of the fitted muscles, as ``fit_volume_pool`` takes them."""
    return {
        muscle_id: MuscleWeeks(
            index.level_log,
            index.se,
            record.weekly_sets[muscle_id],
            weeks_left_out(record, muscle_id),
        )
        for muscle_id, index in fitted.items()
    }


def weeks_left_out(record: Record, muscle_id: str) -> Bools:
    """Weeks whose level is not read: layoffs, injuries and unlogged weeks with the windows after
    them; deloads and single weeks of rest, after which nothing has to be regained, by themselves.

    An injury that put out other muscles' lifts only does not count: an old complaint without an
    end would leave nothing of the record to read.
    """
    lifts = [one for one, (direct, _) in record.muscles_of.items() if muscle_id in direct]
    light = record.weeks_within("deload")
    away = long_layoffs(record) | record.injured_weeks(lifts) | (record.unlogged & ~light)
    light[find_rest_weeks(record)] = True
    return light | mask_after(away)


def energy_of_week(record: Record) -> Floats | None:
    """(n_weeks,) -1 in a declared deficit, +1 in a surplus; None when neither was declared."""
    surplus, deficit = record.weeks_within("surplus"), record.weeks_within("deficit")
    if not (surplus.any() or deficit.any()):
        return None
    return surplus.astype(float) - deficit.astype(float)


def prior_of(priors: pl.DataFrame, muscle_id: str) -> VolumePrior:
    """The muscle's published prior, or that for any muscle."""
    own = priors.filter(pl.col("muscle_id") == muscle_id)
    row = (own if own.height else priors.filter(pl.col("muscle_id") == "any")).row(0, named=True)
    return VolumePrior(
        centre_sets=row["centre_sets"],
        spread_sets=row["spread_sets"],
        trend=row["trend_sets_per_year"],
        trend_spread=row["trend_spread"],
        curvature=row["curvature"],
        curvature_spread=row["curvature_spread"],
    )


def weekly_body_weight(record: Record, signals: pl.DataFrame) -> Floats | None:
    """(n_weeks,) mean body weight of each week, nan where not weighed; None when never."""
    weights = signals.filter(pl.col("signal") == "body_weight_kg")
    if weights.is_empty():
        return None
    week = np.array([record.week_of(day) for day in weights["date"]])
    value, inside = column(weights, "value"), (week >= 0) & (week < record.n_weeks)
    counts = np.bincount(week[inside], minlength=record.n_weeks)
    total = np.bincount(week[inside], weights=value[inside], minlength=record.n_weeks)
    return np.where(counts > 0, total / np.maximum(counts, 1), np.nan)
