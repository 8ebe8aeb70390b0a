"""Drafted maps of standard documents and of lists of intervals: right without an answer."""

import json
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.sources.draft import draft_map
from pipeline.sources.maps import read_map
from tests.unit.drafting import small_readers
from tests.unit.standard_documents import as_lines, at, bundle, heart, observation, weight


def _file(folder: Path, name: str, text: str) -> Path:
    path = folder / "inbox" / "ida" / name
    path.parent.mkdir(parents=True)
    path.write_text(text, "utf-8")
    return path


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("scales.json", json.dumps([weight(), heart()], indent=1)),
        ("scales.ndjson", as_lines(weight(), heart())),
        ("scales.txt", as_lines(weight(), observation("40443-4", 52, "/min"))),
        (
            "export 2024.json",
            json.dumps(
                bundle(observation("29463-7", 80, "kg"), observation("40443-4", 52, "/min"))
            ),
        ),
    ],
)
def test_standard_documents(tmp_path: Path, name: str, text: str) -> None:
    draft = draft_map(_file(tmp_path, name, text), small_readers())
    assert draft.questions == ()
    assert set(draft.first_signals["signal"]) == {"body_weight_kg", "resting_hr_bpm"}
    saved = tmp_path / "map.toml"
    saved.write_text(draft.toml, "utf-8")
    one = read_map(saved)
    assert one.kind == "standard"
    assert one.globs == (name.replace("2024", "*"),)


def test_what_is_not_read_is_told(tmp_path: Path) -> None:
    text = as_lines(
        weight(), observation("8310-5", 36.6, "Cel"), weight(effective_time_frame=at("x"))
    )
    draft = draft_map(_file(tmp_path, "a.ndjson", text), small_readers())
    told = " ".join(draft.evidence)
    assert "1 follow omh:body-weight:2.0, which gives body_weight_kg." in told
    assert "1 of LOINC 8310-5: unsupported schema." in told
    assert "1 of omh:body-weight:2.0: broken document." in told


def test_a_list_of_intervals(tmp_path: Path) -> None:
    text = "".join(f"{one}\n" for one in (812, 798, 805, 840, 822, 815, 830))
    draft = draft_map(_file(tmp_path, "2024-03-05.txt", text), small_readers())
    assert draft.questions == ()
    values = dict(draft.first_signals.select("signal", "value").rows())
    assert values["hrv_rmssd_ms"] == pytest.approx(18.5652, abs=5e-5)


@pytest.mark.parametrize("label", ["RR", "RR interval (ms)", "ibi", "R-R intervals", "rr_ms"])
def test_a_table_of_intervals(tmp_path: Path, label: str) -> None:
    rows = "".join(f"2024-03-05;{one}\n" for one in (812, 798, 805, 840, 822, 815, 830))
    draft = draft_map(_file(tmp_path, "strap.csv", f"Date;{label}\n{rows}"), small_readers())
    assert draft.questions == ()
    values = dict(draft.first_signals.select("signal", "value").rows())
    assert values["hrv_rmssd_ms"] == pytest.approx(18.5652, abs=5e-5)


def test_other_json_is_not_taken_for_a_standard(tmp_path: Path) -> None:
    path = _file(tmp_path, "prices.json", json.dumps([{"price": 3}, {"price": 4}]))
    with pytest.raises(InputError):
        draft_map(path, small_readers())
