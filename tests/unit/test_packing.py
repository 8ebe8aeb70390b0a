"""Frames travel packed: what comes out is what went in, and it may stand in a script element."""

import json
from importlib import resources

from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from dashboards.packing import (
    SIGNS,
    pack_column,
    pack_frame,
    pack_rows,
    unpack_column,
    write_json,
)

VALUES = st.one_of(st.integers(-999, 9999), st.none(), st.booleans(), st.text(max_size=6))


@given(st.lists(VALUES, min_size=1, max_size=60))
def test_any_column_comes_back(values: list[object]) -> None:
    back = unpack_column(json.loads(json.dumps(pack_column(values))))
    assert [(type(v), v) for v in back] == [(type(v), v) for v in values]


@given(st.integers(-50, 50), st.lists(st.integers(0, 2), min_size=1, max_size=200))
def test_counting_columns_come_back(start: int, steps: list[int]) -> None:
    values = [start := start + step for step in steps]
    assert unpack_column(pack_column(values)) == values


DECIMALS = st.integers(-99_999, 99_999).flatmap(
    lambda whole: st.sampled_from([whole / 10, whole / 100, whole / 1000, -0.0, 0.1 + 0.2])
)


@given(st.lists(DECIMALS, min_size=1, max_size=60))
def test_decimals_come_back_to_the_last_digit(values: list[float]) -> None:
    back = unpack_column(json.loads(json.dumps(pack_column(values))))
    assert list(map(str, back)) == list(map(str, values))


def test_numbers_that_move_a_little_take_a_sign_or_two_each() -> None:
    values = [200 + (7 * i) % 31 for i in range(600)]
    assert len(json.dumps(pack_column(values))) < 2 * len(values) + 30


def test_the_script_reads_the_same_digits() -> None:
    script = resources.files("dashboards").joinpath("assets", "charts.js").read_text("utf-8")
    assert f'"{SIGNS}"' in script


def test_weeks_in_a_row_cost_next_to_nothing() -> None:
    packed = pack_column(list(range(600)))
    assert len(json.dumps(packed)) < 40


def test_texts_that_come_again_are_written_once() -> None:
    values = ["not enough", "fair", "firm"] * 50
    packed = pack_column(values)
    assert packed["k"] == ["not enough", "fair", "firm"]
    assert unpack_column(packed) == values


def test_cells_of_a_table_stay_texts_or_trusted_markup() -> None:
    columns = json.loads(pack_rows([("<b>", Markup("<b>3</b>")), ("a & b", "4")]))
    assert list(map(unpack_column, columns)) == [["&lt;b&gt;", "a &amp; b"], ["<b>3</b>", "4"]]


def test_a_frame_keeps_names_and_rows() -> None:
    rows = [{"w": 0, "v": 1.5}, {"w": 1, "v": 2.5}]
    packed = pack_frame(rows)
    columns = [unpack_column(column) for column in packed["columns"]]
    assert [
        dict(zip(packed["names"], row, strict=True)) for row in zip(*columns, strict=True)
    ] == rows
    assert pack_frame([]) == {"names": [], "columns": []}


@given(st.text(max_size=40))
def test_json_never_closes_its_script_element(text: str) -> None:
    written = str(write_json({"note": text + "</script><!--"}))
    assert "<" not in written
    assert json.loads(written) == {"note": text + "</script><!--"}
