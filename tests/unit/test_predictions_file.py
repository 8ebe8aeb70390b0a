"""The file of predictions: only added to, broken lines named and kept."""

import json

import pytest

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.store.predictions import append_predictions, read_predictions

ROW = {
    "predicted_on": "2024-03-04",
    "lifter_id": "larch",
    "question": "forecast",
    "subject": "lift:bench_press",
    "weeks_ahead": 26,
    "from_date": "2024-03-04",
    "to_date": "2024-09-02",
    "estimate": 101.5,
    "low80": 98.0,
    "high80": 105.0,
    "unchanged": 101.0,
    "level_log": 4.615,
    "unit": "kg",
    "finding_id": "0123456789abcdef",
    "method": "last level and a shrunken drift",
    "model_version": "2.0",
    "source": "0123456789abcdef",
}


def test_what_was_appended_is_read(tmp_path):
    home = Home(tmp_path)
    assert read_predictions(home).rows == ()
    append_predictions(home, [ROW])
    append_predictions(home, [ROW | {"lifter_id": "rowan", "estimate": 99}])
    kept = read_predictions(home)
    assert [one["lifter_id"] for one in kept.rows] == ["larch", "rowan"]
    assert kept.rows[0] == ROW
    assert kept.broken == ()


def test_nothing_to_add_touches_no_file(tmp_path):
    append_predictions(Home(tmp_path), [])
    assert not Home(tmp_path).predictions.exists()


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (b'{"predicted_on": "2024-0', "no JSON object on a line of its own"),
        (b"[1, 2]", "no JSON object on a line of its own"),
        (b"\xff\xfe", "no JSON object on a line of its own"),
        (json.dumps(ROW | {"unit": "stone"}).encode(), 'unit = "stone": kg or %'),
        (json.dumps(ROW | {"estimate": "100"}).encode(), "estimate = "),
        (json.dumps(ROW | {"estimate": True}).encode(), "estimate = true"),
        (json.dumps(ROW | {"low80": float("nan")}).encode(), "low80 = nan: write a number"),
        (json.dumps(ROW | {"to_date": "2024-02-31"}).encode(), "not in the calendar"),
        (json.dumps(ROW | {"subject": "bench"}).encode(), "lift:<id> or muscle:<id>"),
        (json.dumps({k: v for k, v in ROW.items() if k != "source"}).encode(), "source is missing"),
        (json.dumps(ROW | {"estimat": 1.0}).encode(), "estimate"),
    ],
)
def test_a_broken_line_is_named_and_kept(tmp_path, line, says):
    home = Home(tmp_path)
    before = json.dumps(ROW).encode() + b"\n" + line  # cut short: without its end of line
    home.predictions.write_bytes(before)
    append_predictions(home, [ROW | {"weeks_ahead": 52}])
    assert home.predictions.read_bytes().startswith(before + b"\n")
    kept = read_predictions(home)
    assert [one["weeks_ahead"] for one in kept.rows] == [26, 52]
    (told,) = kept.broken
    assert told.startswith("predictions.jsonl line 2")
    assert says in told


def test_what_the_schema_does_not_know_is_not_written(tmp_path):
    with pytest.raises(SettingsError, match="question"):
        append_predictions(Home(tmp_path), [ROW | {"question": "guess"}])
    assert not Home(tmp_path).predictions.exists()
