"""What the findings say of nights and sessions, on simulated careers."""

from datetime import timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import columns_of, empty_frame
from pipeline.findings.arrays import Record
from pipeline.findings.nights import NightsAnswers, answer_nights, read_daily
from pipeline.findings.stability_rows import Check
from pipeline.findings.stability_signals import check_signals
from pipeline.models.simulate import Career, CareerOptions
from tests.day_signal import day_signals
from tests.recovery.careers import get_career
from tests.simulated_record import record_of, signals_of


def simulated(has_sleep_effect: bool) -> Career:
    """Eight years, reserve recorded from the first day on."""
    options = CareerOptions(
        years=8.0, rir_recorded_from=0.0, has_stress=False, has_sleep_effect=has_sleep_effect
    )
    return get_career(31, options)


@pytest.fixture(scope="module")
def planted() -> tuple[Record, pl.DataFrame, NightsAnswers]:
    """A record with a sleep effect, its signals and what is found."""
    career = simulated(True)
    record, signals = record_of(career), day_signals(signals_of(career))
    return record, signals, answer_nights(record, signals, {})


@pytest.fixture(scope="module")
def nothing() -> NightsAnswers:
    """The answers of a record whose nights say nothing."""
    career = simulated(False)
    return answer_nights(record_of(career), day_signals(signals_of(career)), {})


def by_subject(answers: NightsAnswers) -> dict[str, object]:
    return {one.subject: one for one in answers.findings}


def test_a_planted_sleep_effect_is_found_with_its_numbers(planted):
    _, _, answers = planted
    found = by_subject(answers)["signal:sleep_min@1"]
    assert found.unit == "%/h"
    assert found.support == "fair"
    assert found.low > 0
    truth = simulated(True).truth.sleep_effect_pct_per_h
    assert found.low <= truth <= found.high
    assert "strength stood" in found.sentence
    assert f"{found.estimate:.2f} % higher" in found.sentence
    assert "Stress that moves both would look the same" in found.sentence


def test_what_does_not_stand_keeps_its_interval_and_is_not_enough(nothing):
    found = by_subject(nothing)
    assert len(found) == 11
    for subject, one in found.items():
        if subject.startswith("signal:"):
            assert one.support == "not enough", one.sentence
            assert one.low <= one.estimate <= one.high
            assert "chance alone shows as much" in one.sentence
    family = next(one for subject, one in found.items() if subject.startswith("lifter:"))
    assert family.estimate == 0
    assert family.sentence.startswith("No signal of 5 stands. All 10 tests are counted together: ")
    assert "of 100 with hidden stress" in family.sentence


def test_the_family_counts_what_stands(planted):
    _, _, answers = planted
    standing = {
        one.subject.removeprefix("signal:").rsplit("@", 1)[0]
        for one in answers.findings
        if one.support in ("fair", "thin") and one.subject.startswith("signal:")
    }
    family = by_subject(answers)["lifter:larch"]
    assert family.estimate == len(standing) > 0
    assert family.n == 5


def test_the_table_splits_by_recorded_reserve(planted):
    _, _, answers = planted
    table = answers.signals
    assert set(table.columns) == {one.name for one in columns_of("model_signal")}
    recorded = table.filter(pl.col("reserve") == "recorded")
    assert recorded.height == 10
    assert recorded["p_adjusted"].is_not_null().all()
    assert (recorded["p_adjusted"] >= recorded["p_value"] - 1e-12).all()
    beside = table.filter(pl.col("reserve") == "unrecorded")
    assert beside["p_adjusted"].is_null().all()
    assert not beside["is_standing"].any()


def test_no_recorded_reserve_is_refused_with_value_limit_and_remedy():
    options = CareerOptions(years=3.0, rir_recorded_from=1.0)
    career = get_career(32, options)
    answers = answer_nights(record_of(career), day_signals(signals_of(career)), {})
    assert {one.support for one in answers.findings} == {"not enough"}
    for one in answers.findings:
        assert one.estimate is None
        assert one.sentence.startswith("Not enough: 0 sessions with recorded reps in reserve")
        assert "40 needed" in one.sentence


def test_a_record_without_nights_is_not_asked():
    career = get_career(32, CareerOptions(years=3.0, rir_recorded_from=1.0))
    answers = answer_nights(record_of(career), empty_frame("mart_day_signal"), {})
    assert answers.findings == ()
    assert answers.signals.is_empty()


def test_checks_hold_for_what_is_planted_and_name_each_year(planted):
    record, signals, answers = planted
    rows = [
        one.as_row()
        for one in answers.findings
        if one.subject in ("signal:sleep_min@1", "lifter:larch")
    ]
    checks: list[Check] = [*check_signals(record, signals, {}, rows)]
    names = [one.check_name for one in checks]
    assert names.count("shuffled_nights") == 1
    assert names.count("left_out_year") >= 3
    assert not any(one.is_flipped for one in checks)


def test_moved_nights_flip_what_was_never_there(planted):
    record, signals, answers = planted
    steps = next(one for one in answers.findings if one.subject == "signal:steps@1")
    checks = [*check_signals(record, signals, {}, [steps.as_row()])]
    (moved,) = [one for one in checks if one.check_name == "shuffled_nights"]
    assert moved.is_flipped


def test_a_told_change_of_device_is_a_new_device(planted):
    record, signals, _ = planted
    plain = signals.with_columns(device_id=pl.lit(None, dtype=pl.String))
    middle = record.first_week + timedelta(days=7 * record.n_weeks - 300)
    event = record.events.head(1).with_columns(
        event_id=pl.lit("new"),
        kind=pl.lit("device_change"),
        start=pl.lit(middle),
        end=pl.lit(middle),
    )
    events = record.events.filter(pl.col("kind") != "device_change")
    told = Record(
        record.lifter,
        record.sets,
        pl.concat([events, event]),
        record.exercises,
        record.contributions,
    )
    sleep = read_daily(told, plain)["sleep_min"]
    read = np.flatnonzero(np.isfinite(sleep.value))
    first = (middle - record.first_week).days
    assert len(set(sleep.device[read])) == 2
    assert len(set(sleep.device[read[read < first]])) == 1
    assert len(set(sleep.device[read[read >= first]])) == 1
