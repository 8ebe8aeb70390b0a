"""The index's cross-check on simulated records: beside it, near it, and plain arithmetic."""

import numpy as np
import polars as pl

from pipeline.findings.cross_check import PERIOD_WEEKS, check_index
from pipeline.findings.lifts import CURVE_PERCENT
from pipeline.findings.muscles import direct_sets
from pipeline.models.strength.muscle_index import MuscleIndex


def test_every_muscle_with_an_index_has_its_check(decade) -> None:
    index = decade.answers.tables["model_muscle_index"]
    checks = decade.answers.tables["model_index_check"]
    assert checks.height > 5
    assert set(checks["muscle_id"]) <= set(index["muscle_id"])
    assert (checks["low"] < checks["index_pct"]).all()
    assert (checks["index_pct"] < checks["high"]).all()


def test_the_two_tell_of_the_same_course(decade) -> None:
    """Median distance of the changes from end to end: METHODS gives the dummy 6 to 7 % of error
    and the index 2.7; practice of new lifts makes the dummy lie above."""
    checks = decade.answers.tables["model_index_check"]
    apart = (checks["dummy_pct"] - checks["index_pct"]).to_numpy()
    assert np.median(np.abs(apart)) < 20.0
    assert np.corrcoef(checks["dummy_pct"], checks["index_pct"])[0, 1] > 0.0


def test_one_lift_alone_is_its_own_ratio(decade) -> None:
    """With one exercise the dummy is the ratio of the best e1RM of the last and first period."""
    record = decade.record
    sets = direct_sets(record, "chest").filter(
        (pl.col("exercise_id") == "bench_press") & (pl.col("reps") <= 8)
    )
    row = check_index(record, "chest", _fixed_index(), sets)
    assert row is not None
    estimated = sets["rir_source"] == "estimated"
    rir = np.where(estimated | sets["rir"].is_null(), 2.0, sets["rir"].fill_null(2.0))
    total = sets["reps"].to_numpy() + rir
    e1rm = sets["load_moved_kg"].to_numpy() * np.where(total == 1, 1.0, 1.0 + total / 30.0)
    period = sets["week"].to_numpy() // PERIOD_WEEKS
    usable = total <= 12
    first, last = period[usable].min(), period[usable].max()
    best = [e1rm[usable & (period == at)].max() for at in (first, last)]
    np.testing.assert_allclose(row["dummy_pct"], 100.0 * np.log(best[1] / best[0]), atol=1e-6)


def _fixed_index() -> MuscleIndex:
    """An index whose change is known; only ``change`` is asked of it."""

    class Fixed:
        def change(self, week_a: int, week_b: int) -> tuple[float, float]:
            return 0.1, 0.01

    return Fixed()  # type: ignore[return-value]


def test_own_curves_of_lifts(decade) -> None:
    """Repetitions at 80 % of the 1RM between 4 and 25, inside their interval; more at 70 %."""
    curves = decade.lifts.curves
    assert CURVE_PERCENT == 80.0
    assert curves.height == decade.lifts.levels["exercise_id"].n_unique()
    assert curves["reps_at_80"].is_between(4.0, 25.0).all()
    assert (curves["low"] < curves["reps_at_80"]).all()
    assert (curves["reps_at_80"] < curves["high"]).all()
    assert (curves["reps_at_80"] < curves["reps_at_70"]).all()
    assert dict(curves.select("exercise_id", "slope").iter_rows()) == decade.lifts.rep_slopes
