"""Numbers and loads: what a cell says, and the kilograms it means."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.source import SourceMap
from pipeline.tidy import numbers
from pipeline.tidy.cells import CellError
from pipeline.tidy.loads import LoadText, read_load
from tests.unit.reading import a_map, is_balanced, reasons, tidy


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("80", ".", 80.0),
        ("82.5", ".", 82.5),
        ("82,5", ",", 82.5),
        ("82,5", ".", 82.5),  # two digits at most after it: it cannot mean thousands
        (".5", ".", 0.5),
        ("82.125", ".", 82.125),
        ("−3", ".", -3.0),
        ("- 3", ".", -3.0),
    ],
)
def test_numbers(text: str, decimal: str, value: float) -> None:
    assert numbers.read_decimal(text, decimal) == value


@pytest.mark.parametrize(
    ("text", "decimal", "reason"),
    [
        ("1.250", ",", "number that can be read in two ways"),
        ("1,250", ".", "number that can be read in two ways"),
        ("8o", ".", "not a number"),
        (".", ".", "not a number"),
        ("", ".", "not a number"),
        ("1" * 400, ".", "number too long"),
    ],
)
def test_what_is_no_number(text: str, decimal: str, reason: str) -> None:
    with pytest.raises(CellError) as error:
        numbers.read_decimal(text, decimal)
    assert error.value.reason == reason


def test_large_numbers_may_have_groups() -> None:
    assert numbers.read_large("10,543", ".") == 10_543
    assert numbers.read_large("10.543", ",") == 10_543
    assert numbers.read_large("10543", ".") == 10_543


def test_reserve() -> None:
    # RPE 10 = 0 in reserve, 9 = 1 and so on: Zourdos et al. 2016 (read)
    for rpe, rir in (("10", 0.0), ("9", 1.0), ("RPE 8", 2.0), ("8.5", 1.5), ("@7", 3.0)):
        assert numbers.read_rpe(rpe, ".") == {"rir_of_rpe": rir}
    assert numbers.read_rir("1-2", ".") == {"rir": 1.5}
    for bad in ("11", "0", "hard"):
        with pytest.raises(CellError):
            numbers.read_rpe(bad, ".")


def test_repetitions() -> None:
    assert numbers.read_reps("8") == {"reps": 8}
    assert numbers.read_reps("8 reps") == {"reps": 8}
    assert numbers.read_reps("12-15") == {"reps_target": "12-15"}
    for bad, reason in (
        ("acht", "not understood"),
        ("7.5", "not whole"),
        ("8+2", "not understood"),
    ):
        with pytest.raises(CellError, match=reason):
            numbers.read_reps(bad)


def test_measures() -> None:
    assert numbers.read_duration("1:30", ".") == {"duration_s": 90.0}
    assert numbers.read_duration("45 sec", ".") == {"duration_s": 45.0}
    assert numbers.read_duration("1,5 min", ",") == {"duration_s": 90.0}
    assert numbers.read_distance("0.4 km", ".") == {"distance_m": 400.0}
    with pytest.raises(CellError, match="unknown unit"):
        numbers.read_distance("20 ells", ".")


def test_flags_and_sides() -> None:
    assert numbers.read_flag("X") == {"flag": True}
    assert numbers.read_flag("nein") == {"flag": False}
    assert numbers.read_warmup("W") == {"flag": True}
    assert numbers.read_warmup("work") == {"flag": False}
    assert numbers.read_side("Links") == {"side": "left"}
    for read in (numbers.read_flag, numbers.read_warmup, numbers.read_side):
        with pytest.raises(CellError):
            read("maybe")


@pytest.mark.parametrize(
    ("text", "load"),
    [
        ("80", LoadText(80.0)),
        ("80kg", LoadText(80.0, "kg")),
        ("185 lbs.", LoadText(185.0, "lbs")),
        ("30/hand", LoadText(30.0, None, "per_hand")),
        ("30 kg each", LoadText(30.0, "kg", "per_hand")),
        ("20 each side", LoadText(20.0, None, "per_side")),
        ("60 total", LoadText(60.0, None, "total")),
        ("bw", LoadText(0.0, None, "added")),
        ("LG", LoadText(0.0, None, "added")),
        ("Körpergewicht", LoadText(0.0, None, "added")),
        ("PDC + 10 kg", LoadText(10.0, "kg", "added")),
        ("Body weight", LoadText(0.0, None, "added")),
        ("+10", LoadText(10.0, None, "added")),
        ("BW + 10 kg", LoadText(10.0, "kg", "added")),
        ("bw-20", LoadText(20.0, None, "assisted")),
        ("20 assisted", LoadText(20.0, None, "assisted")),
        ("-20", LoadText(20.0, is_minus=True)),
    ],
)
def test_load_texts(text: str, load: LoadText) -> None:
    assert read_load(text, ".") == load


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("heavy", "weight not understood"),
        ("bw 20", "weight not understood"),
        ("bw+", "weight not understood"),
        ("80 stone", "unknown unit"),
        ("80 8", "unknown unit"),
        ("1.250", "number that can be read in two ways"),
    ],
)
def test_loads_not_understood(text: str, reason: str) -> None:
    with pytest.raises(CellError) as error:
        read_load(text, ",")
    assert error.value.reason == reason


def loads(tmp_path: Path, rows: str, one: SourceMap | None = None) -> list[tuple[object, ...]]:
    found = tidy(tmp_path, "Date,Lift,Load,Reps\n" + rows, one)
    assert found.set_aside.is_empty(), found.set_aside["detail"].to_list()
    return found.sets.select("load_kg", "load_basis").rows()


def test_the_whole_external_load(tmp_path: Path) -> None:
    found = loads(
        tmp_path,
        "2024-01-02,bench press,100,8\n"
        "2024-01-02,dumbbell curl,20,8\n"
        "2024-01-02,split squat,20,8\n"
        "2024-01-02,landmine row,30,8\n"
        "2024-01-02,leg press,100,8\n"
        "2024-01-02,pull-up,10,8\n"
        "2024-01-02,pull-up,bw,8\n"
        "2024-01-02,pull-up,,8\n"
        "2024-01-02,pull-up,-20,8\n"
        "2024-01-02,assisted dip,30,8\n"
        "2024-01-02,dumbbell curl,40 total,8\n",
    )
    assert found == [
        (100.0, "total"),
        (40.0, "per_hand"),  # both hands
        (40.0, "per_hand"),
        (80.0, "per_side"),  # both sides and a 20 kg bar: common practice, no published source
        (200.0, "per_side"),  # a machine has no bar
        (10.0, "added"),
        (0.0, "added"),
        (None, "added"),
        (20.0, "assisted"),
        (30.0, "assisted"),
        (40.0, "total"),
    ]


def test_one_side_of_a_lift_that_can_be_done_with_both_is_one_hand(tmp_path: Path) -> None:
    one = a_map(more={"side": "Side"})
    found = tidy(
        tmp_path,
        "Date,Lift,Load,Reps,Side\n2024-01-02,dumbbell curl,20,8,left\n"
        "2024-01-02,dumbbell curl,20,8,both\n2024-01-02,split squat,20,8,left\n",
        one,
    )
    assert found.sets["load_kg"].to_list() == [20.0, 40.0, 40.0]


def test_the_map_says_how_loads_are_written(tmp_path: Path) -> None:
    rows = "2024-01-02,dumbbell curl,40,8\n2024-01-02,landmine row,80,8\n2024-01-02,pull-up,10,8\n"
    assert loads(tmp_path, rows, a_map(load_basis="total")) == [
        (40.0, "total"),
        (80.0, "total"),
        (10.0, "added"),
    ]
    assert loads(tmp_path, rows, a_map(bar_kg=15.0))[1] == (175.0, "per_side")


def test_a_bar_that_was_added_is_told(tmp_path: Path) -> None:
    found = tidy(tmp_path, "Date,Lift,Load,Reps\n2024-01-02,landmine row,30,8\n")
    assert found.warnings == (
        "loads written per side or beside the bar: 1; a bar of 20 kg was added to each "
        "(load.bar_kg and load.bars in the map)",
    )


def test_plates_and_bars_have_their_weight(tmp_path: Path) -> None:
    # plates of 20 kg, or 45 lb = 20.4117 kg: common practice; the pound by definition
    rows = (
        "2024-01-02,bench press,2 plates a side,8\n2024-01-02,bench press,plate + 10 per side,8\n"
        "2024-01-02,bench press,bar,8\n2024-01-02,bench press,bar + 20,8\n"
        "2024-01-02,bench press,ez bar + 5 per side,8\n2024-01-02,leg press,2 plates per side,8\n"
    )
    found = loads(tmp_path, rows, a_map(bars_kg=(("ez bar", 10.0),)))
    assert found == [
        (100.0, "per_side"),
        (80.0, "per_side"),
        (20.0, "total"),
        (40.0, "total"),
        (20.0, "per_side"),
        (80.0, "per_side"),
    ]
    pounds = loads(tmp_path, "2024-01-02,bench press,plate a side,8\n", a_map(unit="lb"))
    assert pounds[0][0] == pytest.approx(20.0 + 2 * 45 * 0.45359237)


def test_plates_without_a_side_count_as_the_map_says(tmp_path: Path) -> None:
    rows = (
        "2024-01-02,bench press,2 plates,8\n2024-01-02,leg press,2 plates,8\n"
        "2024-01-02,bench press,2 plates per side,8\n2024-01-02,bench press,bar + 2 plates,8\n"
    )
    per_side = loads(tmp_path, rows, a_map(plates="per side", plate_kg=15.0, bar_kg=10.0))
    assert [kg for kg, _ in per_side] == [70, 60, 70, 70]
    in_all = loads(tmp_path, rows, a_map(plates="in all"))
    assert [kg for kg, _ in in_all] == [60, 40, 100, 60]
    pounds = loads(tmp_path, rows, a_map(plates="in all", plate_kg=20.0, unit="lb"))
    assert [kg for kg, _ in pounds] == pytest.approx([60, 40, 100, 60])


def test_plates_without_a_side_are_set_aside_with_the_key(tmp_path: Path) -> None:
    found = tidy(tmp_path, "Date,Lift,Load,Reps\n2024-01-02,bench press,2 plates,8\n")
    assert "set load.plates in the map" in found.set_aside["detail"][0]
    wide = "Date,bench press\n2024-01-02,2 plates x 5\n"
    aside = tidy(tmp_path, wide, a_map("wide")).set_aside
    assert "set load.plates in the map" in aside["detail"][0]
    read = tidy(tmp_path, wide, a_map("wide", plates="per side")).sets
    assert read.select("load_kg", "reps").rows() == [(100, 5)]


def test_a_bar_of_unknown_weight_is_set_aside(tmp_path: Path) -> None:
    text = "Date,Lift,Load,Reps\n2024-01-02,bench press,ez bar + 10,8\n"
    found = tidy(tmp_path, text)
    assert found.sets.is_empty()
    assert found.set_aside["reason"].to_list() == ["bar of unknown weight"]
    assert '[load.bars] "ez bar" = 10' in found.set_aside["detail"][0]


def test_units_change_with_the_years(tmp_path: Path) -> None:
    # 185 [lb_av] = 83.91 kg: exact by the definition of the pound (computed)
    one = a_map(unit="lb", unit_changes=((date(2018, 1, 1), "kg"),), more={"unit": "Unit"})
    found = tidy(
        tmp_path,
        "Date,Lift,Load,Reps,Unit\n2017-12-31,bench press,185,8,\n2018-01-01,bench press,185,8,\n"
        "2017-12-31,bench press,185,8,KG\n2018-01-01,bench press,185 lb,8,kg\n",
        one,
    )
    by_row = dict(found.sets.select("row_no", "load_kg").iter_rows())
    assert {row: round(load, 2) for row, load in by_row.items()} == {
        2: 83.91,
        3: 185.0,
        4: 185.0,
        5: 83.91,
    }
    assert dict(found.sets.select("row_no", "unit_as_written").iter_rows()) == {
        2: "lb",
        3: "kg",
        4: "kg",
        5: "lb",
    }


def test_loads_that_are_set_aside(tmp_path: Path) -> None:
    one = a_map(unit=None, more={"unit": "Unit"})
    found = tidy(
        tmp_path,
        "Date,Lift,Load,Reps,Unit\n2024-01-02,bench press,-80,8,kg\n2024-01-02,bench press,80,8,\n"
        "2024-01-02,bench press,80,8,stone\n2024-01-02,bench press,8000,8,kg\n"
        "2024-01-02,bench press,bw-20,8,kg\n2024-01-02,pull-up,,8,\n",
        one,
    )
    assert reasons(found) == [
        (2, "negative weight"),
        (3, "no unit of weight"),
        (4, "unknown unit"),
        (5, "weight out of range"),
        (6, "negative weight"),
    ]
    assert found.set_aside["detail"][2] == (
        "'stone' beside load 80 is no unit of weight; kg and lb are read"
    )
    assert found.set_aside["as_written"][3] == (
        "Date: 2024-01-02 | Lift: bench press | Load: 8000 | Reps: 8 | Unit: kg"
    )
    assert is_balanced(found)
