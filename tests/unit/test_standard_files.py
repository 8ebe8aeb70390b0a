"""Files of standard documents: wrappings, places, repeats, steps in parts, what a map needs."""

import json
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.core.errors import InputError
from pipeline.core.source import PLACE
from pipeline.sources.maps import read_map
from pipeline.sources.standards import reading, scanner
from tests.unit.reading import a_map, is_balanced, raw_file, reasons, tidy
from tests.unit.standard_documents import (
    amount,
    as_lines,
    at,
    bundle,
    during,
    heart,
    observation,
    point,
    steps,
    walk,
    weight,
)

STANDARD = a_map("standard")


def weights(n: int) -> list[dict[str, Any]]:
    """Weights of the first ``n`` days of March 2024."""
    return [
        weight(effective_time_frame=at(f"2024-03-{day:02}T06:00:00+01:00"))
        for day in range(1, n + 1)
    ]


@pytest.mark.parametrize(
    ("text", "places"),
    [
        (json.dumps(weights(1)[0]), ["line 1"]),
        (json.dumps(weights(1)[0], indent=2), ["document 1"]),
        (json.dumps(weights(2)), ["[0]", "[1]"]),
        (json.dumps(weights(2), indent=2), ["[0]", "[1]"]),
        ("\n" + as_lines(*weights(2)) + "\n", ["line 2", "line 3"]),
        (as_lines(*weights(2)).replace("\n", "\r\n"), ["line 1", "line 2"]),
        ("".join(json.dumps(one, indent=1) for one in weights(2)), ["document 1", "document 2"]),
        (json.dumps(bundle(observation("29463-7", 80, "kg")), indent=1), ["entry[0]"]),
        (json.dumps([bundle(observation("29463-7", 80, "kg"))]), ["[0] entry[0]"]),
        (as_lines(bundle(observation("29463-7", 80, "kg"))), ["line 1 entry[0]"]),
        (json.dumps(point("omh:body-weight:2.0", [weight()["body"]])), ["line 1 body[0]"]),
    ],
)
def test_each_wrapping_is_read_and_the_place_is_kept(
    tmp_path: Path, text: str, places: list[str]
) -> None:
    raw = raw_file(tmp_path, text, STANDARD)
    assert raw.frame[PLACE].to_list() == places
    assert raw.frame["row_no"].to_list() == list(range(1, len(places) + 1))
    assert raw.frame["fault"].null_count() == len(places)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    document = weight(user_notes="Größe")
    found = tidy(tmp_path, json.dumps(document, ensure_ascii=False).encode(encoding), STANDARD)
    assert found.signals["value"].to_list() == [81.6]


def test_pieces_of_any_size_give_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = json.dumps(bundle(*[observation("29463-7", 70 + n, "kg") for n in range(9)]), indent=1)
    whole = raw_file(tmp_path, text, STANDARD).frame
    for size in (1, 7, 100):
        monkeypatch.setattr(scanner, "CHUNK", size)
        assert raw_file(tmp_path, text, STANDARD).frame.equals(whole)


def test_only_one_document_is_held(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file far longer than the longest document is read: it is never held whole."""
    monkeypatch.setattr(scanner, "CHUNK", 1000)
    monkeypatch.setattr(scanner, "MOST_CHARACTERS", 4000)
    documents = weights(30) * 20
    for text in (json.dumps(documents), as_lines(*documents)):
        assert len(text) > 20 * 4000
        assert raw_file(tmp_path, text, STANDARD).frame.height == 600
    with pytest.raises(InputError, match="more than 4000 characters"):
        raw_file(tmp_path, json.dumps([weight(user_notes="x" * 9000)]), STANDARD)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "empty file"),
        (" \n", "empty file"),
        ('[{"a": 1},\n {"b": 2}', "breaks off"),
        ('[{"a": 1}\n {"b": 2}]', "line 2: '{' where ',' should be"),
        ('{"a": 1,\n "a": 2}', "line 2: the name 'a' stands twice"),
        ('[{"a": NaN}]', "NaN is no number"),
        ("date,weight\n2024-03-05,80\n", "where a document should begin"),
        ("[" * 5000 + "]" * 5000, "nested"),
        ('[{"a":\n', "breaks off|not JSON"),
        (b"\xff\xfe\x00", "text"),
        (b'[{"a": "\xe9"}]', "not utf-8 text"),
    ],
)
def test_a_broken_file_is_refused_with_its_line(
    tmp_path: Path, text: str | bytes, told: str
) -> None:
    with pytest.raises(InputError, match=told):
        raw_file(tmp_path, text, STANDARD)


@pytest.mark.parametrize(
    "line",
    [
        '{"header": {},',
        "{" + '"a": 1, "a": 2}',
        '{"a": Infinity}',
        "weighed 80 kg",
        '{"a":' * 200 + "1" + "}" * 200,
        json.dumps(weight())[:-1],
        json.dumps(weight()) + ",",
        json.dumps(weight()).replace('"value": 81.6', '"value": 81.6, "value": 91.6'),
    ],
)
def test_a_broken_line_leaves_the_others(tmp_path: Path, line: str) -> None:
    text = as_lines(weights(1)[0]) + line + "\n" + as_lines(heart())
    found = tidy(tmp_path, text, STANDARD)
    assert found.counts.kept == 2
    assert reasons(found) == [(2, reading.BROKEN)]
    assert found.set_aside["place"].to_list() == ["line 2"]
    assert found.set_aside["as_written"].to_list() == [line[:400]]


def test_second_values_of_a_day(tmp_path: Path) -> None:
    again = weight(effective_time_frame=at("2024-03-05T21:00:00+01:00"))
    other = weight(body_weight=amount(83, "kg"))
    device = {"acquisition_provenance": {"source_name": "scales"}}
    apart = point("omh:body-weight:2.0", other["body"], **device)
    found = tidy(tmp_path, as_lines(weight(), again, other, apart), STANDARD)
    assert found.signals.select("value", "device_id", "row_no").rows() == [
        (81.6, None, 1),
        (83.0, "scales", 4),
    ]
    assert reasons(found) == [(3, "second value for the day")]
    assert (found.counts.kept, found.counts.repeated) == (2, 1)
    assert is_balanced(found)


def test_limits_and_days_to_come(tmp_path: Path) -> None:
    documents = (
        weight(body_weight=amount(8.16, "kg")),
        weight(body_weight=amount(-80, "kg")),
        weight(body_weight=amount(1e300, "kg")),
        weight(effective_time_frame=at("2031-03-05T06:00:00Z")),
        weight(effective_time_frame=at("1931-03-05T06:00:00Z")),
        observation("93832-4", 25, "h"),
    )
    found = tidy(tmp_path, as_lines(*documents), STANDARD)
    assert found.signals.is_empty()
    assert [reason for _, reason in reasons(found)] == [
        *["value outside its limits"] * 3,
        "date to come",
        "date too early",
        "value outside its limits",
    ]
    assert is_balanced(found)


def hours(start: int, end: int, count: int, **more: Any) -> dict[str, Any]:
    """Steps between two hours of 5 March 2024."""
    span = {
        "start_date_time": f"2024-03-05T{start:02}:00:00+01:00",
        "end_date_time": f"2024-03-05T{end:02}:00:00+01:00",
    }
    body = steps("omh:step-count:3.0", "step_count", amount(count, "steps"))["body"]
    return point("omh:step-count:3.0", {**body, "effective_time_frame": during(span)}, **more)


def test_steps_of_parts_of_a_day_are_added_up(tmp_path: Path) -> None:
    parts = [hours(6, 12, 4000), hours(12, 20, 5000), hours(12, 20, 5000), hours(10, 13, 900)]
    found = tidy(tmp_path, as_lines(*parts), STANDARD)
    assert found.signals.select("value", "row_no").rows() == [(9000.0, 1)]
    assert reasons(found) == [(4, "overlaps another count")]
    assert (found.counts.kept, found.counts.repeated) == (2, 1)
    assert is_balanced(found)


def test_a_whole_day_counts_before_its_hours(tmp_path: Path) -> None:
    found = tidy(tmp_path, as_lines(hours(6, 12, 4000), walk(), hours(12, 20, 5000)), STANDARD)
    assert found.signals.select("value", "row_no").rows() == [(9000.0, 2)]
    assert reasons(found) == [(1, "overlaps another count"), (3, "overlaps another count")]
    assert (found.counts.read, found.counts.kept) == (3, 1)


def test_warnings(tmp_path: Path) -> None:
    utc = weight(effective_time_frame=at("2024-03-01T23:30:00Z"))
    found = tidy(tmp_path, as_lines(hours(6, 8, 900), utc), STANDARD)
    assert found.warnings == (
        "1 values follow omh:step-count:3.0, which is deprecated in favour of "
        "ieee:physical-activity",
        "1 values are dated in UTC (Z): their day is the one written, which far from Greenwich "
        "may be the day before or after",
        "1 days have steps for less than 12 hours: what was not worn is not counted",
    )


def test_digits_are_kept_as_written(tmp_path: Path) -> None:
    text = json.dumps(weight()).replace("81.6", "81.600")
    assert raw_file(tmp_path, text, STANDARD).frame["value"].to_list() == ["81.600"]


def test_a_map_of_standard_documents_needs_only_its_globs(tmp_path: Path) -> None:
    path = tmp_path / "watch.toml"
    path.write_text('schema = 1\n[match]\nglobs = ["*.json"]\n[table]\nkind = "standard"\n')
    assert read_map(path).kind == "standard"


def test_schemas_are_sound() -> None:
    from jsonschema import Draft202012Validator

    from pipeline.sources.standards.shapes import definitions

    for file in ("open_mhealth.schema.json", "fhir.schema.json"):
        for definition in definitions(file).values():
            Draft202012Validator.check_schema(definition)


def test_rows_are_text(tmp_path: Path) -> None:
    frame = raw_file(tmp_path, as_lines(weight()), STANDARD).frame
    assert set(frame.drop("row_no").dtypes) == {pl.String()}
