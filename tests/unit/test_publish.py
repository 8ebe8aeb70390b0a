"""Publishing: whole or not at all, under readers, and the history of runs."""

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.dictionary import conform
from pipeline.core.errors import EngineError, LiftstrataError
from pipeline.core.home import Home
from pipeline.core.settings import default_settings
from pipeline.store.publish import RUNS_KEPT, current_run, prune, publish
from pipeline.store.runs import append_run, read_runs
from pipeline.store.warehouse import add_tables, build_warehouse, read_table


def build(home: Home, run_id: str, names: int = 1) -> Path:
    """A finished run, not yet published: a small database and a page."""
    folder = home.cache / f"build-{run_id}"
    folder.mkdir(parents=True)
    rows = [
        {"alias": f"{run_id} {i}", "exercise_id": "x", "kind": "name", "language": "en"}
        for i in range(names)
    ]
    frames = {"ref_alias": conform("ref_alias", pl.DataFrame(rows))}
    build_warehouse(folder / "warehouse.duckdb", frames, default_settings())
    (folder / "pages").mkdir()
    (folder / "pages" / "index.html").write_text(run_id)
    return folder


def test_current_shows_the_newest_run_whole(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert current_run(home) is None
    place = publish(home, build(home, "r1"), "r1")
    assert current_run(home) == place == home.published / "r1"
    assert not os.path.isabs(os.readlink(home.current)), "the folder can be moved as a whole"
    publish(home, build(home, "r2"), "r2")
    assert (home.current / "pages" / "index.html").read_text() == "r2"
    assert read_table(home.current / "warehouse.duckdb", "ref_alias")["alias"].to_list() == ["r2 0"]
    assert [p.name for p in home.root.iterdir() if p.name.startswith(".current")] == []


def test_a_folder_in_the_place_of_the_link_is_named(tmp_path: Path) -> None:
    home = Home(tmp_path)
    (tmp_path / "current" / "notes").mkdir(parents=True)
    with pytest.raises(LiftstrataError, match="current: a folder: it has to be a link"):
        publish(home, build(home, "r1"), "r1")
    assert (tmp_path / "current" / "notes").is_dir()


def test_a_file_in_the_place_of_the_link_gives_way(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.current.write_text("a file", "utf-8")
    assert publish(home, build(home, "r1"), "r1") == current_run(home)


def test_keeps_a_stated_number_of_runs_and_never_drops_the_current(tmp_path: Path) -> None:
    home = Home(tmp_path)
    for i in range(RUNS_KEPT + 2):
        publish(home, build(home, f"r{i}"), f"r{i}")
    kept = sorted(p.name for p in home.published.iterdir())
    assert kept == [f"r{i}" for i in range(2, RUNS_KEPT + 2)]
    os.utime(home.published / f"r{RUNS_KEPT + 1}", (0, 0))
    assert prune(home, kept=1) != ()
    assert current_run(home) == home.published / f"r{RUNS_KEPT + 1}"
    assert (home.current / "warehouse.duckdb").exists()


def test_refuses_a_name_used_before_and_a_database_left_open(tmp_path: Path) -> None:
    home = Home(tmp_path)
    publish(home, build(home, "r1"), "r1")
    (home.cache / "again").mkdir()
    with pytest.raises(LiftstrataError, match="published/r1 exists"):
        publish(home, home.cache / "again", "r1")
    folder = build(home, "r2")
    (folder / "warehouse.duckdb.wal").write_bytes(b"unfinished")
    with pytest.raises(EngineError, match="not closed"):
        publish(home, folder, "r2")
    assert current_run(home) == home.published / "r1"


def test_a_failed_move_leaves_the_last_run(tmp_path: Path) -> None:
    home = Home(tmp_path)
    publish(home, build(home, "r1"), "r1")
    with pytest.raises(EngineError, match="last complete run still stands"):
        publish(home, home.cache / "never-built", "r2")
    assert (home.current / "pages" / "index.html").read_text() == "r1"


def test_no_log_and_no_spill_beside_a_database(tmp_path: Path) -> None:
    home = Home(tmp_path)
    folder = build(home, "r1", names=2000)
    add_tables(folder / "warehouse.duckdb", {"model_layoff": pl.DataFrame()})
    assert sorted(p.name for p in folder.iterdir()) == ["pages", "warehouse.duckdb"]


READER = """
import sys, pathlib, duckdb
current, stop = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
reads, seen = 0, set()
while not stop.exists() or reads == 0:
    with duckdb.connect(str(current / "warehouse.duckdb"), read_only=True) as connection:
        rows = connection.execute("select alias from ref_alias").fetchall()
    runs = {alias.split()[0] for (alias,) in rows}
    assert len(rows) == 500 and len(runs) == 1, (len(rows), runs)
    seen |= runs
    reads += 1
    if reads == 1:
        print("reading", flush=True)
print(reads, len(seen))
"""


def test_a_reader_in_another_process_never_meets_half_a_run(tmp_path: Path) -> None:
    home = Home(tmp_path)
    publish(home, build(home, "r0", names=500), "r0")
    stop = tmp_path / "stop"
    reader = subprocess.Popen(
        [sys.executable, "-c", READER, str(home.current), str(stop)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert reader.stdout is not None
    assert reader.stdout.readline() == "reading\n"
    for i in range(1, 9):
        publish(home, build(home, f"r{i}", names=500), f"r{i}")
    stop.touch()
    out, errors = reader.communicate(timeout=60)
    assert reader.returncode == 0, errors
    reads, runs_seen = map(int, out.split())
    assert reads >= 2
    assert runs_seen >= 2


def test_who_has_an_old_run_open_keeps_reading_it(tmp_path: Path) -> None:
    home = Home(tmp_path)
    publish(home, build(home, "r0"), "r0")
    with open(home.current / "pages" / "index.html") as page:
        for i in range(1, RUNS_KEPT + 2):
            publish(home, build(home, f"r{i}"), f"r{i}")
        assert not (home.published / "r0").exists()
        assert page.read() == "r0"


def test_threads_of_one_process_read_at_once(tmp_path: Path) -> None:
    home = Home(tmp_path)
    publish(home, build(home, "r0", names=500), "r0")
    heights: list[int] = []

    def read() -> None:
        for _ in range(5):
            heights.append(read_table(home.current / "warehouse.duckdb", "ref_alias").height)

    threads = [threading.Thread(target=read) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert heights == [500] * 20


def test_runs_are_added_one_line_each(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert read_runs(home) == []
    append_run(home, {"run_id": "r1", "started": "2025-03-03T03:10:00", "seconds": 7.5})
    append_run(home, {"run_id": "r2", "note": "Übung\nzwei"})
    lines = home.runs.read_text("utf-8").splitlines()
    assert [json.loads(line)["run_id"] for line in lines] == ["r1", "r2"]
    assert read_runs(home)[1]["note"] == "Übung\nzwei"


def test_a_line_cut_short_costs_itself_only(tmp_path: Path) -> None:
    home = Home(tmp_path)
    append_run(home, {"run_id": "r1"})
    with home.runs.open("a") as file:
        file.write('{"run_id": "r2", "sec')
    append_run(home, {"run_id": "r3"})
    assert [run["run_id"] for run in read_runs(home)] == ["r1", "r3"]


def test_a_record_that_is_no_json_is_refused(tmp_path: Path) -> None:
    home = Home(tmp_path)
    with pytest.raises(TypeError):
        append_run(home, {"when": object()})
    assert read_runs(home) == []
