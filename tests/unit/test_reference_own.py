"""The lifter's own exercises.csv: what it adds, what it overrides, and how it is refused."""

from pathlib import Path

import polars as pl
import pytest

from pipeline.core.errors import InputError, SettingsError
from pipeline.reference import (
    Reference,
    load_aliases,
    load_exercises,
    load_reference,
    read_own_exercises,
)
from pipeline.tidy.names import NameIndex

HEADER = "exercise_id,name,equipment,body_weight_share,direct,indirect\n"


def write_own(folder: Path, text: str) -> Path:
    path = folder / "exercises.csv"
    path.write_text(text, "utf-8")
    return path


def merge_own(folder: Path, rows: str) -> Reference:
    return load_reference(read_own_exercises(write_own(folder, HEADER + rows)))


def roles_of(contributions: pl.DataFrame, exercise_id: str) -> dict[str, str]:
    rows = contributions.filter(exercise_id=exercise_id)
    return dict(rows.select("muscle_id", "role").iter_rows())


def test_a_new_exercise_keeps_its_id_and_takes_defaults(tmp_path: Path) -> None:
    reference = merge_own(tmp_path, 'Barn_7,tractor row,,"0,1",upper_back,biceps\n')
    row = reference.exercises.filter(exercise_id="Barn_7").to_dicts()[0]
    assert row["name"] == "tractor row"
    assert row["body_weight_share"] == 0.1
    assert (row["equipment"], row["stance"], row["default_angle_deg"]) == (
        "other",
        "standing",
        None,
    )
    assert roles_of(reference.contributions, "Barn_7") == {
        "upper_back": "direct",
        "biceps": "indirect",
    }


def test_an_override_changes_only_the_cells_given(tmp_path: Path) -> None:
    reference = merge_own(tmp_path, "bench_press,,machine,,,\n")
    before = load_exercises().filter(exercise_id="bench_press").to_dicts()[0]
    after = reference.exercises.filter(exercise_id="bench_press").to_dicts()[0]
    assert after == before | {"equipment": "machine"}
    assert reference.exercises.height == load_exercises().height
    assert reference.contributions.equals(load_reference().contributions)


def test_a_role_cell_replaces_that_role_alone(tmp_path: Path) -> None:
    reference = merge_own(tmp_path, "bench_press,,,,,triceps\ndip,,,,,-\n")
    bench, dip = (roles_of(reference.contributions, key) for key in ("bench_press", "dip"))
    assert bench == {"chest": "direct", "chest_sternal": "direct", "triceps": "indirect"}
    assert set(dip.values()) == {"direct"}


def test_a_muscle_given_one_role_loses_the_other(tmp_path: Path) -> None:
    reference = merge_own(tmp_path, "bench_press,,,,chest triceps,\n")
    assert roles_of(reference.contributions, "bench_press")["triceps"] == "direct"


def test_an_own_name_takes_an_alias_over(tmp_path: Path) -> None:
    reference = merge_own(tmp_path, "my_pulldown,Lat Pull,,,lats,biceps\n")
    index = NameIndex.from_reference(reference.aliases, reference.exercises, {})
    assert index.resolve("lat pull").exercise_id == "my_pulldown"
    shipped = NameIndex.from_reference(load_aliases(), load_exercises(), {})
    assert shipped.resolve("lat pull").exercise_id == "lat_pulldown"


def test_a_frame_made_in_python_serves_too() -> None:
    own = pl.DataFrame({"exercise_id": ["sled"], "name": ["sled"], "direct": ["quads"]})
    reference = load_reference(own)
    assert roles_of(reference.contributions, "sled") == {"quads": "direct"}


def test_semicolons_blank_lines_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    path = write_own(tmp_path, "\ufeffexercise_id;name;direct\n\nbarn;barn row;lats traps\n")
    own = read_own_exercises(path)
    assert own.select("row_no", "exercise_id", "direct").rows() == [(3, "barn", "lats traps")]


@pytest.mark.parametrize(
    ("rows", "line", "value", "remedy"),
    [
        ("barn,barn row,,,lats,bicep\n", 2, "'bicep'", "did you mean biceps?"),
        ("barn,barn row,,,lats,\nhay,hay row,,,quadz,\n", 3, "'quadz'", "did you mean quads?"),
        ("barn,barn row,cabel,,lats,\n", 2, "equipment 'cabel'", "did you mean cable?"),
        ("barn,barn row,,1.5,lats,\n", 2, "'1.5'", "write a number from 0 to 1"),
        ("barn,barn row,,half,lats,\n", 2, "'half'", "write a number from 0 to 1"),
        ("barn,,,,lats,\n", 2, "'barn'", "give it a name"),
        ("bench_pres,,,,chest,\n", 2, "'bench_pres'", "did you mean bench_press?"),
        ("barn,barn row,,,,\n", 2, "'barn' has no direct muscle", "under direct"),
        ("bench_press,,,,-,\n", 2, "'bench_press' has no direct muscle", "under direct"),
        ("barn,barn row,,,lats,lats\n", 2, "'lats' is direct and indirect", "one of the two"),
        ("barn,a,,,lats,\nbarn,b,,,lats,\n", 3, "'barn' again", "one row for each"),
        (",barn row,,,lats,\n", 2, "no exercise_id", "an id of its own"),
        ("barn,Bench press,,,lats,\n", 2, "name of bench_press", "exercise_id bench_press"),
        ("barn,barn row,,,lats,biceps,more\n", 2, "'more' is one cell too many", "quotes"),
    ],
)
def test_errors_name_line_value_and_remedy(
    tmp_path: Path, rows: str, line: int, value: str, remedy: str
) -> None:
    with pytest.raises(InputError) as caught:
        merge_own(tmp_path, rows)
    assert (caught.value.file, caught.value.row) == ("exercises.csv", line)
    assert value in caught.value.value
    assert remedy in caught.value.remedy


def test_an_unknown_column_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"line 1: column 'equipmnt': did you mean equipment\?"):
        read_own_exercises(write_own(tmp_path, "exercise_id,equipmnt\nbarn,cable\n"))


def test_a_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "exercises.csv"
    path.write_bytes(b"exercise_id\n\xff\xfe\n")
    with pytest.raises(SettingsError, match="line 2: byte 0xff is not UTF-8"):
        read_own_exercises(path)
