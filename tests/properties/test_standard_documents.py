"""Whatever stands in standard documents: no crash, no row lost, no value from a broken one."""

import copy
import json
import os
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.errors import InputError
from pipeline.tidy.tidy_file import TidyFile
from tests.unit.reading import a_map, is_balanced, tidy
from tests.unit.standard_documents import (
    amount,
    as_lines,
    at,
    bundle,
    heart,
    observation,
    point,
    sleep,
    walk,
    weight,
)

STANDARD, INTERVALS = a_map("standard"), a_map("intervals")
BEATS = "".join(f"2024-03-05T06:00:{s:02}+01:00,{850 + s % 9 * 4}\n" for s in range(60))
PULSE = point(
    "omh:rr-interval:1.0", {"rr_interval": amount(850, "ms"), "effective_time_frame": at()}
)
# Documents in which every part is needed: without any of them no value may be read.
NEEDED: dict[str, dict[str, Any]] = {
    "weight": weight(),
    "heart": heart(),
    "sleep": sleep("ieee:total-sleep-time:1.0", "total_sleep_time"),
    "steps": walk(),
    "observation": observation("29463-7", 81.6, "kg"),
    "bundle": bundle(observation("93832-4", 7, "h")),
}
# Parts that may be left out.
FREE = {("header", "modality")}
FILES = {
    "lines": as_lines(*NEEDED.values(), PULSE),
    "array": json.dumps([*NEEDED.values(), PULSE], indent=1),
    "bundle": json.dumps(bundle(*[observation("29463-7", 80 + n, "kg") for n in range(4)])),
}
OTHER = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=6),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=4), st.integers(), max_size=2),
)
PIECES = st.one_of(
    st.sampled_from(list('{}[]",:-.eE0\\ \n\r\x00')),
    st.sampled_from(["null", "NaN", "1e999", '"unit"', "2024-02-30", "Z", "\ud83d", "entry"]),
    st.text(max_size=3),
)
CHANGES = st.lists(st.tuples(st.integers(0, 10_000), st.integers(0, 6), PIECES), max_size=5)
QUIET = settings(max_examples=int(os.environ.get("FUZZ_EXAMPLES", "60")), deadline=5000)


def read(text: str, one: Any) -> TidyFile | str:
    """The file read; where it is refused as a whole, the line that says why."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            return tidy(Path(folder), text.encode(errors="surrogatepass"), one)
        except InputError as error:
            return str(error)


def check(found: TidyFile | str) -> None:
    if isinstance(found, str):
        assert "\n" not in found
        return
    assert is_balanced(found)
    assert found.set_aside.height == found.counts.set_aside
    assert found.counts.kept > 0 or found.signals.is_empty()
    for column in ("reason", "detail", "as_written"):
        assert found.set_aside[column].null_count() == 0
    assert found.signals.select("date", "signal", "device_id").is_unique().all()
    assert found.signals["value"].is_finite().all()


def mutate(text: str, changes: list[tuple[int, int, str]]) -> str:
    for place, length, piece in changes:
        at_sign = place % (len(text) + 1)
        text = text[:at_sign] + piece + text[at_sign + length :]
    return text


def paths(part: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every part of a document."""
    inside = part.items() if isinstance(part, dict) else ()
    inside = enumerate(part) if isinstance(part, list) else inside
    found = [way] if way and way not in FREE else []
    return found + [one for key, value in inside for one in paths(value, (*way, key))]


def replaced(document: dict[str, Any], way: tuple[Any, ...], value: Any) -> dict[str, Any]:
    found = copy.deepcopy(document)
    part = found
    for key in way[:-1]:
        part = part[key]
    part[way[-1]] = value
    return found


def kind_of(value: Any) -> str:
    return "number" if type(value) in (int, float) else type(value).__name__


@QUIET
@given(kind=st.sampled_from(sorted(FILES)), changes=CHANGES)
def test_the_row_equation_holds_for_mutated_documents(
    kind: str, changes: list[tuple[int, int, str]]
) -> None:
    check(read(mutate(FILES[kind], changes), STANDARD))


@QUIET
@given(changes=CHANGES)
def test_the_row_equation_holds_for_mutated_intervals(changes: list[tuple[int, int, str]]) -> None:
    check(read("Date,RR\n" + mutate(BEATS, changes), INTERVALS))


@QUIET
@given(data=st.data())
def test_a_part_of_another_type_gives_no_value(data: st.DataObject) -> None:
    document = NEEDED[data.draw(st.sampled_from(sorted(NEEDED)))]
    way = data.draw(st.sampled_from(paths(document)))
    now = document
    for key in way:
        now = now[key]
    other = data.draw(OTHER.filter(lambda value: kind_of(value) != kind_of(now)))
    found = read(as_lines(replaced(document, way, other)), STANDARD)
    assert isinstance(found, str) or found.signals.is_empty()


@pytest.mark.parametrize("kind", sorted(NEEDED))
def test_no_value_without_any_part(kind: str) -> None:
    document = NEEDED[kind]
    for way in paths(document):
        part = copy.deepcopy(document)
        inner: Any = part
        for key in way[:-1]:
            inner = inner[key]
        del inner[way[-1]]
        found = read(as_lines(part), STANDARD)
        assert isinstance(found, str) or found.signals.is_empty(), way


@pytest.mark.parametrize("kind", sorted(NEEDED))
def test_each_gives_a_value_while_it_is_whole(kind: str) -> None:
    found = read(as_lines(NEEDED[kind]), STANDARD)
    assert isinstance(found, TidyFile)
    assert found.signals.height == 1
