"""Accepted plans, made by hand: written, read back, predicted from, held against the record."""

import json
from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.cli.accept import accept
from pipeline.cli.export import export_proposal
from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.plan_weeks import say_plan
from pipeline.findings.plans import accept_proposal, answer_plans, follow_plans
from pipeline.store.predictions import read_predictions
from pipeline.tidy.journal import read_journal
from pipeline.tidy.plans import plan_id_of, read_plan
from tests.unit.plan_tables import KNOWN, LOG, START, plan_home, proposal_tables


@pytest.fixture
def tables() -> dict[str, pl.DataFrame]:
    return proposal_tables()


@pytest.fixture
def home(tmp_path, tables, monkeypatch) -> Home:
    return plan_home(tmp_path, tables, monkeypatch)


def test_each_week_has_its_share_of_the_full_week(tables):
    accepted = accept_proposal(tables["model_proposal"].row(0, named=True), tables)
    curls = accepted.plan.filter(pl.col("exercise_id") == "leg_curl")
    assert curls["sets"].to_list() == [4, 4, 5, 5, 6, 6, 3, 3]
    first = accepted.plan.filter(pl.col("week") == 1)
    assert first["exercise_id"].to_list() == ["bench_press", "leg_curl", "leg_curl"]
    assert accepted.plan.filter("is_easing")["week"].unique().to_list() == [4]
    assert "calf_raise" not in accepted.plan["exercise_id"]


def test_accepting_writes_events_plan_and_expectation(home, capsys):
    accept(home.root, "plan-0123456789ab", START)
    journal = read_journal(home.journal / "larch.toml", "larch")
    assert journal.select("kind", "subject", "end", "evidence").rows() == [
        ("hold", "chest", date(2024, 3, 31), "accepted"),
        ("priority", "hamstrings", date(2024, 3, 31), "accepted"),
    ]
    plan = read_plan(home.plans / "larch" / "2024-03-04.csv", "larch", KNOWN, "monday")
    assert plan["plan_id"].unique().to_list() == [plan_id_of("larch", START)]
    assert plan.filter(pl.col("week") == 3)["week_start"].unique().to_list() == [date(2024, 3, 18)]
    assert plan.filter(pl.col("exercise_id") == "bench_press")["rir"].to_list() == [*[1.5] * 3, 2.0]
    curl = plan.filter(pl.col("exercise_id") == "leg_curl")
    assert curl["to_failure"].to_list() == (~curl["is_easing"]).to_list()
    assert curl["is_easing"].any()
    chest, hamstrings = read_predictions(home).rows
    assert (chest["subject"], hamstrings["subject"]) == ("muscle:chest", "muscle:hamstrings")
    assert (hamstrings["predicted_on"], hamstrings["to_date"]) == ("2024-03-01", "2024-03-25")
    assert hamstrings["estimate"] == pytest.approx(0.5 * 21 / 30.4375, abs=0.001)
    assert hamstrings["low80"] < -1.0 < 1.5 < hamstrings["high80"]
    assert hamstrings["level_log"] == pytest.approx(0.10)
    assert "4 weeks from 2024-03-04" in capsys.readouterr().out


def test_what_is_written_is_what_is_read(tables, tmp_path):
    accepted = accept_proposal(tables["model_proposal"].row(0, named=True), tables)
    path = tmp_path / "larch" / "2024-03-04.csv"
    path.parent.mkdir()
    path.write_text(say_plan(accepted.plan), "utf-8")
    back = read_plan(path, "larch", KNOWN, "monday")
    assert back.select(accepted.plan.columns).equals(accepted.plan)
    assert say_plan(back) == path.read_text("utf-8")


@pytest.mark.parametrize(
    ("proposal", "says"),
    [
        ("plan-0123456789ac", "did you mean plan-0123456789ab"),
        ("plan-ffffffffffff", "recommends nothing"),
        ("0123456789ab", "its id begins with"),
    ],
)
def test_what_cannot_be_accepted_is_refused(home, proposal, says):
    with pytest.raises(SettingsError, match=says):
        accept(home.root, proposal, START)
    assert not home.predictions.exists()
    assert not home.plans.exists()


def test_a_plan_of_an_older_record_is_refused(home):
    (home.inbox / "larch" / "x").write_bytes(LOG + b"one set more\n")
    with pytest.raises(SettingsError, match=r"inbox/larch/x changed .* run 'liftstrata refresh'"):
        accept(home.root, "plan-0123456789ab", START)
    assert not home.predictions.exists()
    assert not home.plans.exists()


def test_accept_and_export_say_what_they_wrote_as_json(home, capsys):
    export_proposal(home.root, "proposal", home.root / "week.csv", as_json=True)
    told = json.loads(capsys.readouterr().out)
    assert (told["proposal"], told["start"]) == ("plan-0123456789ab", "2024-03-04")
    assert (told["weeks"], told["file"]) == (4, str(home.root / "week.csv"))
    accept(home.root, "plan-0123456789ab", START, as_json=True)
    told = json.loads(capsys.readouterr().out)
    assert (told["plan"], told["predictions"]) == ("plans/larch/2024-03-04.csv", 2)
    assert [one["kind"] for one in told["events"]] == ["priority", "hold"]


def test_a_plan_that_is_over_is_refused_with_the_day_and_what_to_do(home):
    with pytest.raises(SettingsError) as told:
        accept(home.root, "plan-0123456789ab", date(2024, 4, 1))
    assert str(told.value) == (
        "plan-0123456789ab: its last week ended on 31 Mar 2024, today is 1 Apr 2024: the record it "
        "plans on from ends on 1 Mar 2024: add what was trained since to the inbox, run "
        "'liftstrata refresh', and accept what it proposes then"
    )
    assert not home.predictions.exists()
    assert not home.plans.exists()


@pytest.mark.parametrize(
    ("today", "week"), [(START - timedelta(1), 0), (START, 1), (START + timedelta(1), 1)]
)
def test_a_plan_of_this_week_or_to_come_names_its_week(home, capsys, today, week):
    accept(home.root, "plan-0123456789ab", today, as_json=True)
    assert json.loads(capsys.readouterr().out)["week_of_today"] == week


@pytest.mark.parametrize(
    ("today", "remark"),
    [
        (START, None),
        (date(2024, 3, 5), "it began on 4 Mar 2024: today is in week 1 of 4, and what was trained"),
        (
            date(2024, 3, 31),
            "it began on 4 Mar 2024: today is in week 4 of 4, and what was trained",
        ),
    ],
)
def test_a_plan_that_has_begun_says_so(home, capsys, today, remark):
    accept(home.root, "plan-0123456789ab", today)
    told = capsys.readouterr().out
    assert ("it began" in told) == (remark is not None)
    assert remark is None or remark in told


def test_a_plan_is_accepted_once(home):
    accept(home.root, "plan-0123456789ab", START)
    before = home.predictions.read_bytes()
    with pytest.raises(SettingsError, match="a plan of that start is accepted"):
        accept(home.root, "plan-0123456789ab", START)
    assert home.predictions.read_bytes() == before


def test_a_journal_that_cannot_take_it_leaves_everything_as_it_was(home):
    home.journal.mkdir()
    event = f'kind = "hold"\nstart = {START}\nsubject = ["chest"]\nevidence = "accepted"\n'
    (home.journal / "larch.toml").write_text(f"[[event]]\n{event}", "utf-8")
    with pytest.raises(SettingsError, match="keep one"):
        accept(home.root, "plan-0123456789ab", START)
    assert not home.predictions.exists()
    assert list((home.plans / "larch").iterdir()) == []


def test_an_export_is_what_accepting_would_write(home):
    out = home.root / "week.csv"
    export_proposal(home.root, "proposal", out)
    assert not home.journal.exists()
    with pytest.raises(SettingsError, match="is there already"):
        export_proposal(home.root, "proposal", out)
    accept(home.root, "plan-0123456789ab", START)
    assert out.read_bytes() == (home.plans / "larch" / "2024-03-04.csv").read_bytes()


def test_proposals_of_two_lifters_have_to_be_named(home, tables, tmp_path):
    other = pl.col("proposal_id").str.replace("0123", "4567")
    both = [tables["model_proposal"], tables["model_proposal"].with_columns(other)]
    tables["model_proposal"] = pl.concat(both)
    with pytest.raises(SettingsError, match="name one of plan-0123456789ab, plan-4567456789ab"):
        export_proposal(home.root, "proposal", tmp_path / "week.csv")


HEAD = "week,easing,day,place,exercise,sets,reps_low,reps_high,rir,to_failure\n"


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("2024-03-04", HEAD + "1,no,1,1,bench_pres,3,,,,no\n", "line 2: .* mean bench_press"),
        ("2024-03-04", HEAD + "0,no,1,1,bench_press,3,,,,no\n", "week = '0': a whole number from"),
        ("2024-03-04", HEAD + "1,no,1,1,bench_press,,,,,no\n", "sets = ''"),
        ("2024-03-04", HEAD + "1,no,1,1,bench_press,3,,,x,no\n", "rir = 'x': a number"),
        ("2024-03-04", HEAD + "1,maybe,1,1,bench_press,3,,,,no\n", "easing = 'maybe': yes or no"),
        ("2024-03-04", HEAD + "1,no,1\n", "line 2: place = ''"),
        ("2024-03-04", HEAD, "no row under the head"),
        ("2024-03-04", "week,sets\n1,2\n", "no column 'easing'"),
        ("2024-03-05", HEAD, "no Monday, .* name it 2024-03-04.csv"),
        ("2024-03-08", HEAD, "no Monday, .* name it 2024-03-11.csv"),
        ("spring", HEAD, "name it by its first day"),
    ],
)
def test_a_plan_changed_by_hand_into_nonsense_is_named(tmp_path, name, text, says):
    path = tmp_path / f"{name}.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(SettingsError, match=says):
        read_plan(path, "larch", KNOWN, "monday")


def marts(done: dict[tuple[int, str], float]) -> dict[str, pl.DataFrame]:
    """Weeks 1 and 3 trained, week 2 unlogged, week 4 not reached; bench done once, a row added."""
    status = [(0, "trained"), (1, "unlogged"), (2, "trained")]
    weeks = [START + timedelta(weeks=week) for week, _ in status]
    return {
        "mart_week_lifter": pl.DataFrame(
            {"lifter_id": "larch", "week_start": weeks, "week_status": [one for _, one in status]}
        ),
        "mart_week_muscle": pl.DataFrame(
            [
                ("larch", START + timedelta(weeks=week), name, sets)
                for (week, name), sets in done.items()
            ],
            schema={
                "lifter_id": pl.String,
                "week_start": pl.Date,
                "muscle_id": pl.String,
                "weekly_sets": pl.Float64,
            },
            orient="row",
        ),
        "mart_week_lift": pl.DataFrame(
            {
                "lifter_id": ["larch", "larch", "rowan"],
                "week_start": [START] * 3,
                "exercise_id": ["bench_press", "row", "row"],
                "working_sets": [9, 3, 3],
            }
        ),
    }


def test_a_plan_is_held_against_the_record(tables, tmp_path):
    accepted = accept_proposal(tables["model_proposal"].row(0, named=True), tables)
    path = tmp_path / "2024-03-04.csv"
    path.write_text(say_plan(accepted.plan), "utf-8")
    plans = read_plan(path, "larch", KNOWN, "monday")
    done = {(0, "chest"): 9.0, (0, "hamstrings"): 4.0, (2, "chest"): 4.0}
    found = follow_plans(plans, marts(done) | tables)
    rows = found["model_plan_progress"].filter(pl.col("muscle_id") != "triceps")
    told = rows.select("week", "muscle_id", "planned_sets", "done_sets", "share_followed").rows()
    assert told[:2] == [(1, "chest", 8.0, 9.0, 1.0), (1, "hamstrings", 8.0, 4.0, 0.5)]
    assert told[2:4] == [(2, "chest", 8.0, None, None), (2, "hamstrings", 10.0, None, None)]
    assert told[4:6] == [(3, "chest", 8.0, 4.0, 0.5), (3, "hamstrings", 12.0, 0.0, 0.0)]
    assert told[6:] == [(4, "chest", 4.0, None, None), (4, "hamstrings", 6.0, None, None)]
    triceps = found["model_plan_progress"].filter(pl.col("muscle_id") == "triceps")
    assert triceps["planned_sets"].to_list() == [4.0, 4.0, 4.0, 2.0]
    (told,) = answer_plans(found["model_plan_progress"])
    # Of 8 + 8 + 4 in the first week and 8 + 12 + 4 in the third, 8 + 4 and 4; the ninth set of the
    # chest makes up for nothing.
    assert told.estimate == pytest.approx(100 * 16 / 44)
    assert (told.question, told.subject) == ("plan_followed", f"plan:{plan_id_of('larch', START)}")
    assert (told.n, told.n_of, told.support) == (2, "logged weeks of 4", "firm")
    assert (told.from_date, told.to_date) == (START, date(2024, 3, 24))
    assert told.sentence == (
        "Of 44 weekly sets planned for all muscles in 2 logged weeks of the plan from 4 Mar 2024, "
        "36 % were done."
    )
    assert not [*answer_plans(found["model_plan_progress"].with_columns(done_sets=None))]
    lifts = found["model_plan_lift"].select("week", "exercise_id", "planned_sets", "status").rows()
    assert lifts[:3] == [
        (1, "bench_press", 8, "done"),
        (1, "leg_curl", 8, "left out"),
        (1, "row", 0, "added"),
    ]
    assert [one[3] for one in lifts if one[0] in (2, 4)] == ["open"] * 4


def test_without_plans_there_is_nothing_to_follow(tables):
    found = follow_plans(conform("tidy_plan", pl.DataFrame()), marts({}) | tables)
    assert all(one.is_empty() for one in found.values())
