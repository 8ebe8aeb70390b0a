"""Documents of Open mHealth, IEEE 1752.1 and FHIR: each valid one is read or named, no broken one
gives a value.

Outside values: 185 pounds are 83.91 kg (1959 agreement); the shapes are those of the published
schemas, see ``pipeline/sources/standards``.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from pipeline.sources.standards import reading
from tests.unit.reading import a_map, is_balanced, tidy
from tests.unit.standard_broken import BROKEN
from tests.unit.standard_documents import observation, weight
from tests.unit.standard_valid import NAMED, VALID

STANDARD = a_map("standard")


@pytest.mark.parametrize(("document", "day", "signal", "value"), VALID)
def test_a_valid_document_is_read(
    tmp_path: Path, document: dict[str, Any], day: str, signal: str, value: float
) -> None:
    found = tidy(tmp_path, json.dumps(document), STANDARD)
    rows = found.signals.select("date", "signal", "value", "lifter_id").rows()
    assert [(str(row[0]), row[1]) for row in rows] == [(day, signal)]
    assert rows[0][2] == pytest.approx(value, abs=0.005)
    assert found.counts.kept == 1
    assert is_balanced(found)


@pytest.mark.parametrize(("document", "reason", "told"), NAMED)
def test_a_valid_document_without_a_day_s_value_is_named(
    tmp_path: Path, document: dict[str, Any], reason: str, told: str
) -> None:
    found = tidy(tmp_path, json.dumps(document), STANDARD)
    assert found.signals.is_empty()
    assert found.set_aside["reason"].to_list() == [reason]
    assert told in found.set_aside["detail"][0]
    assert found.set_aside["as_written"][0]
    assert is_balanced(found)


@pytest.mark.parametrize("as_list", [False, True])
@pytest.mark.parametrize("document", BROKEN)
def test_no_broken_document_gives_a_value(tmp_path: Path, document: Any, as_list: bool) -> None:
    """Alone on a line, and between two good ones in an array."""
    good = [weight(), observation("40443-4", 52, "/min")]
    text = json.dumps([good[0], document, good[1]] if as_list else good[0])
    text += "" if as_list else f"\n{json.dumps(document)}\n{json.dumps(good[1])}\n"
    found = tidy(tmp_path, text, STANDARD)
    assert sorted(found.signals["signal"]) == ["body_weight_kg", "resting_hr_bpm"]
    assert found.counts.kept == 2
    if document != []:
        assert set(found.set_aside["reason"]) <= {reading.BROKEN, reading.UNSUPPORTED}
        assert found.set_aside.height >= 1
    assert is_balanced(found)


def test_there_are_enough_documents() -> None:
    assert len(VALID) >= 40
    assert len(BROKEN) >= 40
