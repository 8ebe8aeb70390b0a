"""The strength index beside its transparent cross-check, the time-product dummy.

The index is one state space; whoever wants to see by plain arithmetic whether it goes astray has
here the change from end to end by the simplest method that links exercises at all. The dummy
takes practice for progress and knows nothing of reserve drifting, so that it may lie above.
"""

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.findings.arrays import SEGMENTED, Record, strength_arrays
from pipeline.models.strength.e1rm import estimate_1rm
from pipeline.models.strength.muscle_index import MuscleIndex
from pipeline.models.strength.rep_curve import ASSUMED_RIR
from pipeline.models.strength.time_product import fit_time_product
from pipeline.models.weeks import normal_quantile

PERIOD_WEEKS = 4  # as in the comparison of estimators that chose the index (METHODS b)
COVERAGE = 0.95


def check_index(
    record: Record, muscle_id: str, index: MuscleIndex, sets: pl.DataFrame
) -> dict[str, object] | None:
    """A row of ``model_index_check``: change in % (log x 100) by both, over the weeks that one
    chain of exercises links up to the last; None where there are not two such periods."""
    values = _period_values(record, sets)
    period, product = values["period"].to_numpy(), values["product"].to_numpy()
    dummy = fit_time_product(period, product, values["e1rm_kg"].to_numpy())
    if isinstance(dummy, Refusal):
        return None
    linked = np.flatnonzero(dummy.block == dummy.block[period.max()])
    weeks = sets["week"].unique().sort().to_numpy()
    inside = weeks[np.isin(weeks // PERIOD_WEEKS, linked)]
    change, se = index.change(int(inside[0]), int(inside[-1]))
    half = normal_quantile(COVERAGE) * se
    if linked.size < 2 or not np.isfinite(se):
        return None
    ratio = dummy.index[linked[-1]] / dummy.index[linked[0]]
    return {
        "lifter_id": record.lifter.lifter_id,
        "muscle_id": muscle_id,
        "from_date": record.week_start(inside[0]),
        "to_date": record.week_start(inside[-1]),
        "index_pct": 100.0 * change,
        "low": 100.0 * (change - half),
        "high": 100.0 * (change + half),
        "dummy_pct": 100.0 * float(np.log(ratio)),
        "periods": int(linked.size),
    }


def _period_values(record: Record, sets: pl.DataFrame) -> pl.DataFrame:
    """Best e1RM (at most 12 repetitions, reserve included) of each exercise in each period.

    A machine or cable of another gym is another product: columns period, product, e1rm_kg.
    """
    arrays = strength_arrays(record, sets)
    rir = np.where(np.isfinite(arrays["rir"]), arrays["rir"], ASSUMED_RIR)
    segment = [
        part if record.equipment.get(exercise) in SEGMENTED else 0
        for exercise, part in zip(sets["exercise_id"], arrays["segment"].tolist(), strict=True)
    ]
    rows = sets.select("exercise_id", period=pl.col("week") // PERIOD_WEEKS).with_columns(
        segment=pl.Series(segment, dtype=pl.Int64),
        e1rm_kg=pl.Series(estimate_1rm(arrays["load_kg"], arrays["reps"], rir)),
    )
    rows = rows.filter(pl.col("e1rm_kg").is_finite())
    rows = rows.with_columns(
        product=pl.struct("exercise_id", "segment").rank("dense").cast(pl.Int64) - 1
    )
    return rows.group_by("period", "product").agg(pl.col("e1rm_kg").max()).sort("period", "product")
