"""Measured signals: units, limits and second values."""

from pathlib import Path

import pytest

from pipeline.core.dictionary import schema_of
from pipeline.core.source import SignalColumn
from pipeline.tidy.cells import CellError
from pipeline.tidy.signals import read_value
from tests.unit.reading import a_map, is_balanced, reasons, tidy

SIGNALS = (
    SignalColumn("Sleep", "sleep_min", "h"),
    SignalColumn("Weight", "body_weight_kg", "lb"),
    SignalColumn("Steps", "steps", "steps"),
)
NIGHTS = a_map("signals", signals=SIGNALS, more={"device": "Device"})
HEAD = "Date,Device,Sleep,Weight,Steps\n"


@pytest.mark.parametrize(
    ("text", "signal", "unit", "value"),
    [
        ("7.5", "sleep_min", "h", 450.0),
        ("7:30", "sleep_min", "h:mm", 450.0),
        ("7 h 30", "sleep_min", "h:mm", 450.0),
        ("7:30", "sleep_min", "h", 450.0),
        ("450", "sleep_min", "min", 450.0),
        ("7.5 hours", "sleep_min", "min", 450.0),
        ("52", "resting_hr_bpm", "bpm", 52.0),
        ("52 bpm", "resting_hr_bpm", "bpm", 52.0),
        ("48.2", "hrv_rmssd_ms", "ms", 48.2),
        ("10,543", "steps", "steps", 10_543.0),
        ("185", "body_weight_kg", "lb", 83.9146),  # exact by the definition of the pound (computed)
        ("83.9 kg", "body_weight_kg", "lb", 83.9),
        ("23", "girth_thigh_cm", "in", 58.42),  # exact by the definition of the inch (computed)
        ("7", "rating_quads", "points", 7.0),
    ],
)
def test_values_are_in_the_unit_of_the_name(
    text: str, signal: str, unit: str, value: float
) -> None:
    found = read_value(text, SignalColumn("x", signal, unit), ".")
    assert found == pytest.approx(value, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "signal", "unit", "reason"),
    [
        ("0", "sleep_min", "h", "value outside its limits"),
        ("8", "body_weight_kg", "kg", "value outside its limits"),
        ("-60", "resting_hr_bpm", "bpm", "value outside its limits"),
        ("7.5", "sleep_min", "h:mm", "time not understood"),
        ("good", "sleep_min", "h", "unknown unit"),
        ("52 ms", "resting_hr_bpm", "bpm", "unknown unit"),
        ("1.2.3", "steps", "steps", "not a number"),
    ],
)
def test_values_not_read(text: str, signal: str, unit: str, reason: str) -> None:
    with pytest.raises(CellError) as error:
        read_value(text, SignalColumn("x", signal, unit), ".")
    assert error.value.reason == reason


def test_a_nightly_table(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        HEAD + '2024-01-02,a,7:30,180,"10,543"\n2024-01-03,a,-,,\n2024-01-04T07:10,b,75,180,0\n'
        "31 Feb 2024,b,7,,\n,b,7,,\n",
        NIGHTS,
    )
    assert found.signals.schema == schema_of("tidy_signal")
    rows = found.signals.select("date", "signal", "value", "unit", "device_id", "row_no").rows()
    assert [(str(row[0]), *row[1:2], round(row[2], 1), *row[3:]) for row in rows] == [
        ("2024-01-02", "sleep_min", 450.0, "min", "a", 2),
        ("2024-01-02", "body_weight_kg", 81.6, "kg", "a", 2),
        ("2024-01-02", "steps", 10_543.0, "steps", "a", 2),
        ("2024-01-04", "body_weight_kg", 81.6, "kg", "b", 4),
        ("2024-01-04", "steps", 0.0, "steps", "b", 4),
    ]
    assert reasons(found) == [
        (4, "value outside its limits"),
        (5, "impossible date"),
        (6, "no date"),
    ]
    assert found.set_aside["as_written"][0] == "2024-01-04T07:10 | Sleep: 75"
    assert found.set_aside["detail"][0] == (
        "Sleep '75': 4500 min, 60 to 1200 min is read; correct it in corrections.toml"
    )
    counts = found.counts
    assert (counts.read, counts.kept, counts.set_aside, counts.blank) == (15, 5, 3, 7)
    assert is_balanced(found)
    assert found.counts_as == "cell"


def test_a_day_has_one_value_of_a_signal_and_device(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        HEAD + "2024-01-02,a,7,,\n2024-01-02,a,7:00,,\n2024-01-02,a,8,,\n2024-01-02,b,8,,\n"
        "2024-01-03,a,99,,\n2024-01-03,a,6,,\n",
        NIGHTS,
    )
    assert found.signals.select("row_no", "value").rows() == [(2, 420.0), (5, 480.0), (7, 360.0)]
    assert found.counts.repeated == 1
    assert reasons(found) == [(4, "second value for the day"), (6, "value outside its limits")]
    assert is_balanced(found)


def test_a_column_that_is_not_there_is_told(tmp_path: Path) -> None:
    found = tidy(tmp_path, "Date,Device,Sleep\n2024-01-02,a,7\n", NIGHTS)
    assert found.warnings == (
        "no column 'Weight'; read without it",
        "no column 'Steps'; read without it",
    )
    assert found.counts.read == 1
