"""Intervals between heartbeats to RMSSD and SDNN.

Outside values: 812, 798, 805, 840, 822, 815, 830 ms give RMSSD 18.5652 and SDNN 14.46671 by the
definitions of the Task Force (1996), computed by hand: differences −14, 7, 35, −18, −7, 15.
"""

import json
import math
import random
import statistics
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.core.source import FILE_NAME, LINE, SourceMap
from pipeline.sources.maps import read_map
from pipeline.tidy.lifter import join_files
from tests.unit.reading import a_map, exercises, is_balanced, tidy
from tests.unit.standard_documents import amount, at, point

EXAMPLE = (812, 798, 805, 840, 822, 815, 830)
RMSSD, SDNN = 18.5652, 14.46671
TABLE = a_map("intervals")
LIST = replace(TABLE, columns={"date": FILE_NAME, "interval": LINE})
FEW = "1 days have fewer than 60 intervals: their variability is unsteady"


def table(rows: list[tuple[str, Any]]) -> str:
    """A table of days or moments and intervals."""
    return "Date,RR\n" + "".join(f"{day},{value}\n" for day, value in rows)


def variability(found: Any) -> dict[str, float]:
    """Signals of the one day by name."""
    assert found.signals["date"].n_unique() == 1
    return dict(found.signals.select("signal", "value").rows())


def moments(values: list[float], start: str = "2024-03-05T02:00:00+01:00") -> list[tuple[str, Any]]:
    """Each interval with the moment of its second beat."""
    now, rows = datetime.fromisoformat(start), []
    for value in values:
        now += timedelta(milliseconds=value)
        rows.append((now.isoformat(timespec="milliseconds"), value))
    return rows


def by_hand(values: list[float]) -> tuple[float, float]:
    """RMSSD and SDNN, by the formulas."""
    steps = [second - first for first, second in pairwise(values)]
    return math.sqrt(sum(step**2 for step in steps) / len(steps)), statistics.stdev(values)


def night(n: int, seed: int = 3) -> list[float]:
    """Intervals around 900 ms that wander slowly."""
    rng = random.Random(seed)
    return [round(900 + 40 * math.sin(i / 9) + rng.gauss(0, 15)) for i in range(n)]


def points(rows: list[tuple[str, Any]]) -> str:
    """The same as data points."""
    return json.dumps(
        [
            point(
                "omh:rr-interval:1.0",
                {"rr_interval": amount(value, "ms"), "effective_time_frame": at(moment)},
            )
            for moment, value in rows
        ]
    )


def test_the_published_definition(tmp_path: Path) -> None:
    found = tidy(tmp_path, table([("2024-03-05", one) for one in EXAMPLE]), TABLE)
    values = variability(found)
    assert values["hrv_rmssd_ms"] == pytest.approx(RMSSD, abs=5e-5)
    assert values["hrv_sdnn_ms"] == pytest.approx(SDNN, abs=5e-6)
    assert (found.counts.read, found.counts.kept) == (7, 7)
    assert found.warnings == (FEW,)


def test_the_same_from_a_list_and_from_data_points(tmp_path: Path) -> None:
    text = "".join(f"{one}\n" for one in EXAMPLE)
    named = tidy(tmp_path, text, LIST, path="2024-03-05.txt")
    told = tidy(tmp_path, points(moments(list(EXAMPLE))), a_map("standard"), path="rr.json")
    for found in (named, told):
        assert variability(found)["hrv_rmssd_ms"] == pytest.approx(RMSSD, abs=5e-5)
        assert str(found.signals["date"][0]) == "2024-03-05"
        assert is_balanced(found)


def test_a_night_belongs_to_the_day_of_waking(tmp_path: Path) -> None:
    values = night(400)
    rows = moments(values, "2024-03-04T23:58:00+01:00")
    for text, one in ((table(rows), TABLE), (points(rows), a_map("standard"))):
        found = tidy(tmp_path, text, one)
        assert {str(day) for day in found.signals["date"]} == {"2024-03-05"}
        rmssd, sdnn = by_hand(values)
        assert variability(found)["hrv_rmssd_ms"] == pytest.approx(rmssd)
        assert variability(found)["hrv_sdnn_ms"] == pytest.approx(sdnn)
        assert found.warnings == ()


def test_artefacts_are_left_out_and_no_difference_crosses_one(tmp_path: Path) -> None:
    values = night(100)
    rows: list[tuple[str, Any]] = [("2024-03-05", one) for one in values]
    rows[50:50] = [("2024-03-05", 1500)]  # a missed beat
    rows[20:20] = [("2024-03-05", 250)]  # an extra one
    found = tidy(tmp_path, table(rows), TABLE)
    assert found.warnings == ("2 intervals are artefacts, or of days that give no value: left out",)
    steps = [b - a for i, (a, b) in enumerate(pairwise(values)) if i not in (19, 49)]
    rmssd = math.sqrt(sum(step**2 for step in steps) / len(steps))
    assert variability(found)["hrv_rmssd_ms"] == pytest.approx(rmssd)
    assert variability(found)["hrv_sdnn_ms"] == pytest.approx(statistics.stdev(values))
    assert (found.counts.kept, found.counts.blank) == (100, 2)
    assert is_balanced(found)


def test_no_difference_crosses_a_gap(tmp_path: Path) -> None:
    first, second = night(80, 1), night(80, 2)
    rows = moments(first) + moments(second, "2024-03-05T02:10:00+01:00")
    found = tidy(tmp_path, table(rows), TABLE)
    squares = [by_hand(part)[0] ** 2 * 79 for part in (first, second)]
    rmssd = math.sqrt(sum(squares) / 158)
    assert variability(found)["hrv_rmssd_ms"] == pytest.approx(rmssd)


@pytest.mark.parametrize(
    ("values", "reason"),
    [
        ([800, 810, 805, 790], "too few intervals"),
        ([0.8, 0.81, 0.79, 0.8, 0.82, 0.81], "too many artefacts"),
        ([800, 250, 810, 1990, 790, 260, 800, 2500], "too many artefacts"),
        ([800] * 70, "value outside its limits"),
    ],
)
def test_days_that_give_no_value(tmp_path: Path, values: list[float], reason: str) -> None:
    found = tidy(tmp_path, table([("2024-03-05", one) for one in values]), TABLE)
    assert found.signals.is_empty()
    assert found.set_aside.select("row_no", "reason").rows() == [(2, reason)]
    assert (found.counts.set_aside, found.counts.blank) == (1, len(values) - 1)
    assert is_balanced(found)


def test_rows_that_are_not_understood(tmp_path: Path) -> None:
    rows: list[tuple[str, Any]] = [("2024-03-05", one) for one in EXAMPLE]
    rows += [("", 800), ("2024-02-31", 800), ("2024-03-05", "beat"), ("2024-03-05", "")]
    found = tidy(tmp_path, table(rows), TABLE)
    assert variability(found)["hrv_rmssd_ms"] == pytest.approx(RMSSD, abs=5e-5)
    assert found.set_aside["reason"].to_list() == ["no date", "impossible date", "not a number"]
    assert (found.counts.read, found.counts.blank) == (11, 1)
    assert is_balanced(found)


def test_a_recording_pasted_twice_counts_once(tmp_path: Path) -> None:
    values = night(90)
    rows = moments(values)
    found = tidy(tmp_path, table(rows + rows), TABLE)
    assert variability(found)["hrv_rmssd_ms"] == pytest.approx(by_hand(values)[0])
    assert (found.counts.kept, found.counts.repeated) == (90, 90)


def test_a_recording_in_two_files_repeats_with_all_its_intervals(tmp_path: Path) -> None:
    one, two = (tidy(tmp_path, table(moments(list(EXAMPLE))), TABLE, f"{at}.csv") for at in "ab")
    ids = [one.file.file_id, two.file.file_id]
    joined = join_files(one.sets, pl.concat([one.signals, two.signals]), exercises(), ids)
    assert joined.repeated == {ids[1]: len(EXAMPLE)}
    assert two.counts.moved(repeated=joined.repeated[ids[1]]).kept == 0


def test_a_map_of_intervals(tmp_path: Path) -> None:
    path = tmp_path / "strap.toml"
    path.write_text(
        'schema = 1\n[match]\nglobs = ["*.txt"]\n[table]\nkind = "intervals"\n'
        '[columns]\ndate = "(file name)"\ninterval = "(line)"\n'
    )
    one: SourceMap = read_map(path)
    assert (one.kind, one.columns) == ("intervals", {"date": FILE_NAME, "interval": LINE})
