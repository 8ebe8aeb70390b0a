"""Forecasts and growth tables from invented levels: who learns from whom, what is said."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.finding import Finding
from pipeline.findings import answer_forecasts, compare_with_law
from pipeline.findings.forecast import list_subjects, summarise_history
from pipeline.findings.forecast_dates import forecast_dates
from pipeline.models.forecast.group import LAW_BY_TRAINING_AGE

FIRST = date(2020, 1, 6)


def weeks_from(first: date, n: int) -> list[date]:
    return [first + timedelta(weeks=week) for week in range(n)]


def muscle_rows(lifter: str, n: int, per_year: float, se: float = 0.01) -> pl.DataFrame:
    level = per_year * np.arange(n) / 52.0
    return conform(
        "model_muscle_index",
        pl.DataFrame({"week_start": weeks_from(FIRST, n), "level_log": level}).with_columns(
            lifter_id=pl.lit(lifter), muscle_id=pl.lit("chest"), se=pl.lit(se)
        ),
    )


def lift_rows(lifter: str, n: int, untrained: int = 0, kg: float = 100.0) -> pl.DataFrame:
    frame = pl.DataFrame({"week_start": weeks_from(FIRST, n)}).with_columns(
        lifter_id=pl.lit(lifter),
        exercise_id=pl.lit("bench_press"),
        level_log=pl.lit(float(np.log(kg))),
        se=pl.lit(0.01),
        best_log=pl.lit(None, pl.Float64),
        is_trained=pl.int_range(pl.len()) < n - untrained,
    )
    return conform("model_lift_level", frame)


def tables_of(muscles: list[pl.DataFrame], lifts: list[pl.DataFrame], weeks: int = 260) -> dict:
    index = pl.concat([empty_frame("model_muscle_index"), *muscles])
    levels = pl.concat([empty_frame("model_lift_level"), *lifts])
    lifters = pl.Series(sorted({*index["lifter_id"], *levels["lifter_id"]}), dtype=pl.String)
    return {
        "model_muscle_index": index,
        "model_lift_level": levels,
        "finding": empty_frame("finding"),
        "ref_lifter": pl.DataFrame(
            {"lifter_id": lifters, "training_began": [date(2015, 1, 6)] * len(lifters)},
            schema_overrides={"training_began": pl.Date},
        ),
        "ref_exercise": pl.DataFrame({"exercise_id": ["bench_press"], "name": ["bench press"]}),
        "ref_muscle": pl.DataFrame({"muscle_id": ["chest"], "name": ["chest"]}),
        "mart_week_lifter": pl.DataFrame(
            {
                "lifter_id": lifters,
                "week_start": [FIRST + timedelta(weeks=weeks - 1)] * len(lifters),
            }
        ),
    }


def one_of(findings: list[Finding], subject: str) -> Finding:
    (found,) = [one for one in findings if one.subject == subject]
    return found


def test_a_lone_lifter_gets_the_published_drift():
    tables = tables_of([muscle_rows("larch", 260, 0.0)], [lift_rows("larch", 260)])
    findings = answer_forecasts(tables)
    muscle, lift = one_of(findings, "muscle:chest"), one_of(findings, "lift:bench_press")
    age = (FIRST + timedelta(weeks=259) - date(2015, 1, 6)).days / 365.25
    law = np.exp(LAW_BY_TRAINING_AGE * np.log((age + 364 / 365.25) / age))
    assert muscle.estimate == pytest.approx(100.0 * (law - 1.0), abs=0.01)
    assert lift.estimate == pytest.approx(100.0 * law, abs=0.01)
    assert (lift.estimate, lift.low) == (lift.prior_estimate, lift.prior_low)
    assert "published drift (Steele et al. 2023, read)" in muscle.sentence
    assert "100.0 kg if nothing changed" in lift.sentence
    assert (muscle.unit, lift.unit, lift.coverage) == ("%", "kg", 0.8)
    assert lift.from_date == FIRST + timedelta(weeks=259)
    assert lift.to_date == FIRST + timedelta(weeks=311)


def test_every_number_said_is_the_findings():
    tables = tables_of([muscle_rows("larch", 260, 0.01)], [lift_rows("larch", 260)])
    for found in answer_forecasts(tables):
        for value in (found.estimate, found.low, found.high):
            assert value is not None
            assert f"{abs(value):.1f}" in found.sentence


def test_the_level_says_how_high_the_lift_may_stand():
    """A wide interval of the level widens the forecast of a lift."""
    tables = tables_of([], [lift_rows("larch", 260)])
    near = one_of(answer_forecasts(tables), "lift:bench_press")
    level = Finding(
        lifter_id="larch",
        question="lift_level",
        subject="lift:bench_press",
        unit="kg",
        n=500,
        n_of="sets",
        support="thin",
        support_why="",
        method="",
        model_version="",
        sentence="",
        estimate=100.0,
        low=90.0,
        high=111.0,
        coverage=0.90,
    )
    rows = pl.DataFrame([level.as_row()], infer_schema_length=None)
    wide = one_of(answer_forecasts(tables | {"finding": conform("finding", rows)}), near.subject)
    assert wide.estimate == near.estimate
    assert wide.low < near.low < near.high < wide.high


def group_of(n: int, per_year: float) -> list[pl.DataFrame]:
    rates = np.linspace(per_year - 0.002, per_year + 0.002, n)
    return [muscle_rows(f"lifter_{i:02}", 520, rate) for i, rate in enumerate(rates)]


def test_with_enough_lifters_the_drift_is_learnt_from_the_others():
    """Twenty who rise by 5 % a year: each is told so from the others, not from the law's 0.7 %."""
    findings = answer_forecasts(tables_of(group_of(20, 0.05), [], weeks=520))
    assert len(findings) == 20
    for found in findings:
        assert found.estimate == pytest.approx(5.0, abs=0.7)
        assert found.prior_estimate < 3.0
        assert "the drift of 16 other lifters" in found.sentence


def test_nobody_tells_their_own_future():
    """One who falls among many who rise is told the drift of the others."""
    rising = group_of(19, 0.05)
    odd = muscle_rows("lifter_99", 520, -0.05)
    found = answer_forecasts(tables_of([*rising, odd], [], weeks=520))
    own = next(one for one in found if one.lifter_id == "lifter_99")
    assert own.estimate == pytest.approx(5.0, abs=0.7)


def test_eleven_lifters_are_too_few():
    findings = answer_forecasts(tables_of(group_of(11, 0.05), [], weeks=520))
    assert all("published drift" in one.sentence for one in findings)


def test_support_needs_years_and_a_side():
    level = {"weeks": 520}
    (flat,) = answer_forecasts(tables_of([muscle_rows("larch", 520, 0.0)], [], **level))
    assert (flat.support, flat.support_why) == (
        "thin",
        "520 weeks of record, the interval holds no change",
    )
    (short,) = answer_forecasts(tables_of([muscle_rows("larch", 100, 0.0)], [], weeks=100))
    assert short.support_why == "100 weeks of record, 156 for fair"
    (blunt,) = answer_forecasts(tables_of([muscle_rows("larch", 520, 0.0, se=0.05)], [], **level))
    assert blunt.support_why == "last level known to 5.0 %, 3 for fair"
    sided = answer_forecasts(tables_of(group_of(20, 0.12), [], weeks=520))
    assert {one.support for one in sided} == {"fair"}


def test_a_short_record_is_refused():
    (found,) = answer_forecasts(tables_of([muscle_rows("larch", 20, 0.0)], [], weeks=20))
    assert (found.support, found.n, found.estimate) == ("not enough", 20, None)
    assert found.support_why == "20 weeks of record, 26 needed"


def test_a_lift_that_is_no_longer_done_is_not_asked():
    tables = tables_of([], [lift_rows("larch", 260, untrained=30)])
    assert not list(list_subjects(tables))
    done = tables_of([], [lift_rows("larch", 260, untrained=10)])
    (subject,) = list_subjects(done)
    assert subject.last == FIRST + timedelta(weeks=249)


def test_a_history_steps_back_by_half_years_without_the_first_weeks():
    history = summarise_history(muscle_rows("larch", 60, 0.0), date(2018, 1, 8))
    assert history.years * 365.25 / 7 == pytest.approx([0.0, 26.0])
    assert history.training_age_years == pytest.approx((728 + 33 * 7) / 365.25)


def test_nothing_fitted_gives_nothing():
    assert answer_forecasts(tables_of([], [])) == []
    assert compare_with_law(tables_of([], [])).is_empty()


def lifts_and_muscle() -> dict:
    squat = lift_rows("larch", 260, kg=150.0).with_columns(exercise_id=pl.lit("squat"))
    return tables_of([muscle_rows("larch", 260, 0.0)], [lift_rows("larch", 260), squat])


def test_the_date_of_the_finding_gives_the_finding():
    tables = lifts_and_muscle()
    for found in answer_forecasts(tables):
        assert found.to_date is not None
        row = forecast_dates(tables, "larch", [found.subject], [found.to_date]).row(0, named=True)
        told = (row["estimate"], row["low"], row["high"], row["unit"])
        assert told[:3] == pytest.approx((found.estimate, found.low, found.high))
        assert told[3] == found.unit


def test_the_sum_of_two_lifts_is_surer_than_both_at_once():
    subjects = ["lift:bench_press", "lift:squat", "muscle:chest"]
    rows = forecast_dates(lifts_and_muscle(), "larch", subjects, [date(2025, 6, 1)])
    assert rows["subject"].to_list() == [*subjects, "sum"]
    bench, squat, _, both = rows.iter_rows(named=True)
    assert both["estimate"] == pytest.approx(bench["estimate"] + squat["estimate"])
    assert both["unchanged"] == pytest.approx(250.0)
    reach = [one["high"] - one["estimate"] for one in (bench, squat, both)]
    assert np.hypot(reach[0], reach[1]) < reach[2] < reach[0] + reach[1]


def test_what_cannot_be_forecast_says_why():
    tables = lifts_and_muscle()
    days = [date(2020, 6, 1), date(2045, 6, 1)]
    rows = forecast_dates(tables, "larch", ["lift:bench_press", "lift:deadlift"], days)
    assert rows["estimate"].null_count() == rows.height == 6
    why = rows["why_not"].to_list()
    assert "ask for a later date" in why[0]
    assert "lift:deadlift in the last half year" in why[1]
    assert "0 lifts with a forecast, 2 needed" in why[2]
    assert why[3].startswith("Too much: ")
    assert why[3].endswith(" years ahead, 10 at most; ask for a nearer date.")


def test_growth_table_holds_own_gain_and_law():
    tables = tables_of([muscle_rows("larch", 260, 0.02)], [lift_rows("larch", 60)])
    grown = compare_with_law(tables)
    assert set(grown["subject"]) == {"muscle:chest"}  # 60 weeks of the lift are too few
    last = grown.row(-1, named=True)
    assert last["gain_pct"] == pytest.approx(2.0 * (259 - 26) / 52, abs=0.1)
    assert last["law_low_pct"] < last["law_pct"] < last["law_high_pct"]
    assert grown["training_age_years"].is_sorted()
