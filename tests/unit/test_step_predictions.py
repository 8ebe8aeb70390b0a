"""What a refresh adds to the predictions of a folder: lifters apart, broken lines told."""

from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.core.home import Home
from pipeline.findings.predictions import PREDICTION
from pipeline.flows.step_plans import read_plans
from pipeline.flows.step_predictions import choose_predictions
from pipeline.store.predictions import append_predictions
from tests.unit.test_plans import HEAD
from tests.unit.test_predictions_file import ROW

MADE = {
    name: date.fromisoformat(ROW[name]) if name in ROW and kind == pl.Date else ROW.get(name)
    for name, kind in PREDICTION.items()
}


def forecast(folder, *lifters: str):
    """Forecasts of these lifters, each trained in every week up to the day of the record."""
    folder.mkdir()
    rows = [MADE | {"lifter_id": lifter} for lifter in lifters]
    pl.DataFrame(rows, schema=PREDICTION).write_parquet(folder / "prediction.parquet")
    weeks = [date(2024, 3, 4) - timedelta(weeks=back) for back in range(60)]
    calendar = pl.DataFrame({"week_start": weeks, "week_status": ["trained"] * 60})
    parts = [calendar.with_columns(lifter_id=pl.lit(lifter)) for lifter in lifters]
    pl.concat(parts).write_parquet(folder / "week.parquet")
    return folder


@pytest.fixture
def ahead(tmp_path):
    return forecast(tmp_path / "ahead", "larch", "rowan")


@pytest.fixture
def home(tmp_path) -> Home:
    return Home(tmp_path)


def refresh(home: Home, ahead, lifters, warned: list[str]):
    """What a run does with the file, from choosing to publishing."""
    chosen = choose_predictions(home, ahead, lifters, warned.append)
    append_predictions(home, chosen.due)
    return chosen


def test_a_second_run_of_the_same_record_sees_the_same_lines_and_adds_none(home, ahead):
    first = refresh(home, ahead, ("larch", "rowan"), [])
    before = home.predictions.read_bytes()
    second = refresh(home, ahead, ("larch", "rowan"), [])
    assert len(first.due) == 2
    assert second.due == ()
    assert second.lines == first.lines
    assert home.predictions.read_bytes() == before


def test_a_lifter_who_left_keeps_the_lines_and_moves_nobody_elses(home, ahead, tmp_path):
    refresh(home, ahead, ("larch", "rowan"), [])
    before = home.predictions.read_bytes()
    left = refresh(home, forecast(tmp_path / "alone", "larch"), ("larch",), [])
    assert {line["lifter_id"] for line in left.lines} == {"larch"}
    assert home.predictions.read_bytes() == before
    back = refresh(home, ahead, ("larch", "rowan"), [])
    assert len(back.lines) == 2
    assert home.predictions.read_bytes() == before


def test_a_broken_line_is_told_in_every_run_and_stays(home, ahead):
    home.predictions.write_bytes(b'{"predicted_on": "2024-\n')
    warned: list[str] = []
    refresh(home, ahead, ("larch", "rowan"), warned)
    refresh(home, ahead, ("larch", "rowan"), warned)
    assert warned[0] == warned[1]
    assert warned[0].startswith("predictions.jsonl line 1: no JSON object")
    assert home.predictions.read_bytes().startswith(b'{"predicted_on": "2024-\n{')


KNOWN = ("bench_press",)


def test_a_plan_that_cannot_be_used_is_told_and_others_are_read(home):
    folder = home.plans / "larch"
    folder.mkdir(parents=True)
    (folder / "2024-03-04.csv").write_text(HEAD + "1,no,1,1,bench_press,3,8,12,2,no\n", "utf-8")
    (folder / "2024-06-03.csv").write_text(HEAD + "1,no,1,1,bench,3,8,12,2,no\n", "utf-8")
    (folder / ".2024-09-02.csv").write_text("half written", "utf-8")
    warned: list[str] = []
    plans = read_plans(home, dict.fromkeys(("larch", "rowan"), "monday"), KNOWN, warned.append)
    assert plans.select("lifter_id", "start", "sets").rows() == [("larch", date(2024, 3, 4), 3)]
    (told,) = warned
    assert told.startswith("plans/larch/2024-06-03.csv line 2: exercise 'bench'")
