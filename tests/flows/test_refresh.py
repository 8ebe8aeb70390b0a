"""The refresh as a real Prefect flow on real files: published whole, repeatable, at home."""

import json
import shutil

import duckdb
import polars as pl
from filelock import FileLock

from dashboards import words
from dashboards.told import is_left
from pipeline.core.home import Home
from pipeline.core.page_style import CHOICES, PageStyle
from pipeline.store.predictions import read_predictions
from pipeline.store.runs import read_runs
from tests.flows.homes import make_home, pages_of, refresh, run, tables_of

TIMED = {"index.html", "hazel/state.html"}


def read_told(home):
    return (home / "told" / "hazel.json").read_text("utf-8")


def test_a_run_is_published_whole(watched):
    home = Home(watched.home)
    assert home.current.is_symlink()
    assert home.current.resolve().parent == home.published
    assert not list(home.published.rglob("*.wal"))
    with duckdb.connect(str(home.current / "warehouse.duckdb"), read_only=True) as reader:
        assert reader.execute("select count(*) from tidy_set").fetchone()[0] > 1000
    pages = pages_of(watched.home)
    assert {"index.html", "hazel/record.html", "hazel/state.html"} <= set(pages)
    (line,) = read_runs(home)
    assert line["kept"] > 1000
    assert line["news"] == {}
    assert "pages: " in watched.shown


def test_nothing_leaves_the_machine(watched):
    outside = [one for one in watched.connects if "127.0.0.1" not in one and "::1" not in one]
    sockets = [one for one in outside if one.startswith("(")]  # others are files of this machine
    assert len(watched.connects) > 5
    assert sockets == []


def test_the_row_equation_holds_for_every_file(watched):
    files = tables_of(watched.home)["source_file"]
    assert files.height >= 4
    parts = files["kept"] + files["repeated"] + files["set_aside"] + files["blank"]
    assert files["read"].equals(parts.alias("read"))


def test_every_set_leads_back_to_its_line(watched):
    tables = tables_of(watched.home)
    sets = tables["tidy_set"].join(tables["raw_row"], on=["file_id", "row_no"], how="left")
    assert sets["cells"].null_count() == 0
    first = sets.row(0, named=True)
    assert first["exercise_as_written"] in json.loads(first["cells"]).values()


def test_every_number_in_a_sentence_is_its_findings(watched):
    findings = tables_of(watched.home)["finding"]
    assert findings["finding_id"].is_unique().all()
    answered = findings.filter(
        pl.col("estimate").is_not_null() & (pl.col("question") == "lift_slope")
    )
    for row in answered.iter_rows(named=True):
        assert f"{row['estimate']:+.1f}".replace("-", "\u2212") in row["sentence"]


def test_two_years_get_no_verdict(watched):
    findings = tables_of(watched.home)["finding"].filter(pl.col("lifter_id") == "hazel")
    volume = findings.filter(pl.col("question").is_in(["supported_sets", "hold_sets"]))
    assert volume.height > 10
    assert set(volume["support"]) == {"not enough"}
    counts = ["balance", "deload_pace", "deload_length", "effort", "injury"]
    firm = findings.filter(pl.col("support") == "firm")["question"]
    assert set(firm) <= set(counts)


def test_every_forecast_that_a_page_may_hold_against_the_record_stands_in_the_file(watched):
    kept = read_predictions(Home(watched.home))
    shown = tables_of(watched.home)["model_prediction"]
    assert kept.broken == ()
    assert len(kept.rows) == shown.height > 10
    assert set(shown["state"]) == {"open"}
    told = {line["finding_id"] for line in kept.rows}
    forecasts = tables_of(watched.home)["finding"].filter(pl.col("question") == "forecast")
    assert told <= set(forecasts["finding_id"])


def test_refreshing_twice_changes_no_row_and_only_the_timed_pages(watched):
    tables, pages = tables_of(watched.home), pages_of(watched.home)
    predictions = Home(watched.home).predictions.read_bytes()
    steps = {p: p.stat().st_mtime_ns for p in Home(watched.home).cache.glob("steps/*/*")}
    refresh(watched.home)
    again, pages_again = tables_of(watched.home), pages_of(watched.home)
    assert Home(watched.home).predictions.read_bytes() == predictions
    assert [name for name in tables if not tables[name].equals(again[name])] == []
    assert {name for name in pages if pages[name] != pages_again[name]} <= TIMED
    assert steps == {p: p.stat().st_mtime_ns for p in Home(watched.home).cache.glob("steps/*/*")}


def test_deleting_what_was_published_rebuilds_identical_tables_and_pages(watched, tmp_path):
    home = tmp_path / "home"
    shutil.copytree(watched.home, home, symlinks=True)
    before, pages, told = tables_of(home), pages_of(home), read_told(home)
    shutil.rmtree(home / "published")
    shutil.rmtree(home / ".cache")
    (home / "current").unlink()
    refresh(home)
    after = tables_of(home)
    assert [name for name in before if not before[name].equals(after[name])] == []
    pages_after = pages_of(home)
    assert {name for name in pages if pages[name] != pages_after[name]} <= TIMED
    assert read_told(home) == told


def test_a_second_start_while_one_runs_says_so_and_leaves(watched):
    with FileLock(Home(watched.home).lock):
        done = run("refresh", watched.home)
    assert done.returncode == 3
    assert "another refresh is running" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_new_week_moves_only_what_it_touches(watched, tmp_path):
    home = tmp_path / "home"
    shutil.copytree(watched.home, home, symlinks=True)
    before = tables_of(home)
    source = next((home / "inbox" / "hazel").rglob("sets 2020.csv"))
    lines = source.read_text("utf-8").splitlines()
    source.write_text("\n".join(lines[:-40]) + "\n", "utf-8")
    report = refresh(home)
    after = tables_of(home)
    assert report["read"] == before["source_file"]["read"].sum() - 40
    assert before["ref_exercise"].equals(after["ref_exercise"])
    assert before["tidy_set"].height > after["tidy_set"].height
    page = pages_of(home)["hazel/record.html"].decode("utf-8")
    assert "1 file new, changed or gone" in page or 'id="table-news"' in page
    told = json.loads(read_told(home))
    assert told["before"]["made"]["files"] != told["now"]["made"]["files"]
    assert told["before"]["made"]["program"] == told["now"]["made"]["program"]


def test_an_empty_inbox_is_said_and_a_damaged_database_of_runs_is_no_obstacle(tmp_path):
    home = make_home(tmp_path / "home")
    database = Home(home).cache / "prefect" / "prefect.db"
    database.parent.mkdir(parents=True)
    database.write_bytes(b"\x00garbage" * 500)
    done = run("refresh", home)
    assert done.returncode == 2, done.stderr
    assert "inbox/hazel: no files" in done.stderr
    assert (home / "current" / "pages" / "index.html").exists()


def test_pages_in_another_language_find_every_text_of_the_pipeline(watched):
    tables = tables_of(watched.home)
    findings = tables["finding"]
    told = [
        *(findings[name] for name in ("sentence", "support", "support_why", "needs", "n_of")),
        *(tables["set_aside"][name] for name in ("reason", "detail")),
        *(tables["tidy_doubt"][name] for name in ("what", "why")),
        tables["model_proposal"]["said"],
    ]
    texts = set(pl.concat([one.rename("text") for one in told]).drop_nulls())
    assert len(texts) > 100
    for language in CHOICES["language"]:
        with words.written(PageStyle(language)):
            assert sorted(one for one in texts if is_left(one)) == []
