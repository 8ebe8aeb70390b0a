"""The warehouse: counting facts of the trade, identical rebuilds, shut doors."""

from datetime import timedelta
from pathlib import Path

import duckdb
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.core.dictionary import columns_of, conform, tables
from pipeline.core.errors import EngineError
from pipeline.store.connection import open_to_build
from pipeline.store.warehouse import (
    add_tables,
    build_warehouse,
    read_table,
    read_tables,
    run_checks,
)
from tests.unit.store_records import MONDAY, ROLES, SETTINGS, build, one_set, record, rows


def weekly(file: Path, column: str) -> dict[str, float]:
    frame = read_table(file, "mart_week_muscle")
    return dict(zip(frame["muscle_id"], frame[column], strict=True))


def test_direct_sets_count_one_and_indirect_half(tmp_path: Path) -> None:
    """Common practice, no published source: the fractional count, worked by hand."""
    lifts = ["bench"] * 4 + ["extension"] * 3 + ["row"] * 2
    file = build(tmp_path, [one_set(i, lift) for i, lift in enumerate(lifts, 1)])
    assert weekly(file, "weekly_sets") == {"chest": 4, "triceps": 5, "lats": 2, "biceps": 1}
    assert weekly(file, "direct_sets") == {"chest": 4, "triceps": 3, "lats": 2, "biceps": 0}
    week = read_table(file, "mart_week_lifter").row(0, named=True)
    assert (week["pushing_sets"], week["pulling_sets"], week["working_sets"]) == (4, 2, 9)
    assert run_checks(file) == ()


def test_a_double_drop_is_one_set_of_three_segments(tmp_path: Path) -> None:
    """Common practice, no published source: 50x10, then 25x9, then 12.5x8 is one set, 825 kg."""
    drops = [(1, 50.0, 10), (2, 25.0, 9), (3, 12.5, 8)]
    file = build(
        tmp_path,
        [
            one_set(
                1, "bench", cluster_id="c", segment_no=k, load_kg=kg, load_moved_kg=kg, reps=reps
            )
            for k, kg, reps in drops
        ],
    )
    lift = read_table(file, "mart_session_lift").row(0, named=True)
    assert (lift["working_sets"], lift["drop_segments"], lift["reps"]) == (1, 2, 27)
    assert lift["tonnage_kg"] == 825
    assert lift["top_load_kg"] == 50
    assert weekly(file, "weekly_sets") == {"chest": 1, "triceps": 0.5}
    assert weekly(file, "drop_segments") == {"chest": 2, "triceps": 0}
    assert run_checks(file) == ()


def test_three_sets_of_a_rear_delt_isolation_lift_are_three_direct_sets(tmp_path: Path) -> None:
    """Common practice, no published source."""
    file = build(tmp_path, [one_set(i, "rear_fly", reps=15 - i) for i in range(3)])
    assert weekly(file, "direct_sets") == {"rear_delts": 3}


def test_an_unmatched_exercise_counts_for_the_lifter_but_for_no_muscle(tmp_path: Path) -> None:
    sets = [one_set(1, "bench"), one_set(2, "unmatched:odd press"), one_set(3, "unmatched:x")]
    file = build(tmp_path, sets)
    assert read_table(file, "mart_week_lifter")["working_sets"].to_list() == [3]
    assert read_table(file, "mart_week_lift")["working_sets"].to_list() == [1, 1, 1]
    assert weekly(file, "weekly_sets") == {"chest": 1, "triceps": 0.5}
    assert run_checks(file) == ()


def years_of_sets(weeks: int) -> list[dict[str, object]]:
    """Loads whose sums depend on the order of adding, in weeks with gaps."""
    lifts = list(ROLES)
    return [
        one_set(
            i,
            lifts[i % 4],
            session_date=MONDAY + timedelta(weeks=week, days=2 * (i % 3)),
            load_kg=(20 + i % 97) * 0.45359237,
            reps=1 + i % 12,
            rir=float(i % 6),
        )
        for i, week in enumerate(w for w in range(weeks) if w % 13 != 12 for _ in range(20))
    ]


def test_a_rebuild_gives_identical_tables_whatever_the_order_of_rows(tmp_path: Path) -> None:
    sets = years_of_sets(80)
    (tmp_path / "again").mkdir()
    first, second = build(tmp_path, sets), build(tmp_path / "again", sets[::-1])
    names = [name for name in tables() if columns_of(name)[0].made_by not in ("models", "findings")]
    one, other = read_tables(first, names), read_tables(second, names)
    for name in names:
        assert_frame_equal(one[name], other[name], check_exact=True)
    assert run_checks(first) == ()


def test_tables_have_the_dictionary_s_columns_types_and_meanings(tmp_path: Path) -> None:
    file = build(tmp_path, [one_set(1, "bench")])
    for name in ("tidy_set", "mart_week_muscle", "set_aside", "tidy_event"):
        frame = read_table(file, name)
        assert_frame_equal(frame, conform(name, frame))
    with duckdb.connect(str(file), read_only=True) as connection:
        query = "select column_name, comment from duckdb_columns() where table_name = 'tidy_set'"
        comments = dict(connection.execute(query).fetchall())
        grain = connection.execute(
            "select comment from duckdb_tables() where table_name = 'mart_week_lift'"
        ).fetchall()
    assert comments["rir"] == "repetitions in reserve [reps]; null: not recorded and not estimated"
    assert grain == [("One row per week and exercise with a working set.",)]


def test_rows_can_come_from_parquet_files(tmp_path: Path) -> None:
    sets = rows("tidy_set", [one_set(i, "bench") for i in range(1, 7)])
    sets[:4].write_parquet(tmp_path / "b.parquet")
    sets[4:].write_parquet(tmp_path / "a.parquet")
    frames = {k: v for k, v in record([one_set(1, "bench")]).items() if k != "tidy_set"}
    file = tmp_path / "warehouse.duckdb"
    paths = {"tidy_set": [tmp_path / "b.parquet", tmp_path / "a.parquet"], "tidy_signal": []}
    build_warehouse(file, frames, SETTINGS, paths)
    assert_frame_equal(read_table(file, "tidy_set"), sets)
    assert read_table(file, "tidy_signal").is_empty()


def test_model_tables_are_added_and_not_a_number_becomes_null(tmp_path: Path) -> None:
    file = build(tmp_path, [one_set(1, "bench")])
    layoff = {
        "lifter_id": "a",
        "event_id": "e",
        "start": MONDAY,
        "weeks_off": 3.0,
        "loss_pct": -4.0,
        "low": -7.0,
        "high": -1.0,
        "weeks_to_regain": float("nan"),
    }
    add_tables(file, {"model_layoff": rows("model_layoff", [layoff])})
    add_tables(file, {"model_layoff": rows("model_layoff", [layoff | {"weeks_off": 4.0}])})
    assert read_table(file, "model_layoff").row(0)[3:8] == (4.0, -4.0, -7.0, -1.0, None)


def test_a_null_in_a_required_column_names_table_and_column(tmp_path: Path) -> None:
    with pytest.raises(EngineError, match=r"tidy_set\.load_basis: null in a required column"):
        build(tmp_path, [one_set(1, "bench", load_basis=None)])


def test_an_unknown_table_or_column_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KeyError, match="tidy_sets"):
        build_warehouse(tmp_path / "w.duckdb", {"tidy_sets": pl.DataFrame()}, SETTINGS)
    with pytest.raises(ValueError, match="odd"):
        build_warehouse(tmp_path / "w.duckdb", {"tidy_set": pl.DataFrame({"odd": [1]})}, SETTINGS)


def test_reading_what_is_not_there_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(EngineError, match="run a refresh"):
        read_table(tmp_path / "none.duckdb", "tidy_set")
    file = build(tmp_path, [one_set(1, "bench")])
    with pytest.raises(EngineError, match="finding"):
        read_table(file, "finding")


@pytest.mark.parametrize(
    "statement",
    [
        "from read_csv('{outside}')",
        "copy (select 1) to '{outside}.copy'",
        "attach '{outside}.db'",
        "set enable_external_access = true",
        "set memory_limit = '64GB'",
        "install httpfs",
    ],
)
def test_a_connection_reaches_no_other_folder_and_no_network(
    tmp_path: Path, statement: str
) -> None:
    outside = tmp_path / "outside.csv"
    outside.write_text("a\n1\n")
    (tmp_path / "db").mkdir()
    with (
        pytest.raises(EngineError),
        open_to_build(tmp_path / "db" / "w.duckdb") as connection,
    ):
        connection.execute(statement.format(outside=outside))


def test_an_error_while_adding_leaves_the_database_as_it_was(tmp_path: Path) -> None:
    file = build(tmp_path, [one_set(1, "bench")])
    before = read_table(file, "tidy_set")
    bad = rows("tidy_set", [one_set(1, "bench", load_basis=None)])
    with pytest.raises(EngineError):
        add_tables(file, {"tidy_event": rows("tidy_event", []), "tidy_set": bad})
    assert_frame_equal(read_table(file, "tidy_set"), before)
    assert [p.name for p in tmp_path.iterdir()] == ["warehouse.duckdb"]
