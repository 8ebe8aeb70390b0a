"""The two proposals of a simulated career: within limits, with a reason a line, wishes heeded."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np
import polars as pl
import pytest

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.next_phase import NextPhase
from pipeline.findings.arrays import Record
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.injuries.constraints import NAMED
from pipeline.findings.next_phase import VolumeRead, answer_next_phase, settle_proposals
from pipeline.findings.next_phase.reasons import Known, explain_muscle
from pipeline.findings.next_phase.tables import _reserve
from pipeline.findings.volume_record import muscle_weeks, prior_of
from pipeline.models.narrowing.blocks import LEAST_NARROWING, outlook_of
from pipeline.models.narrowing.plans import WEEKS
from pipeline.models.planning.inputs import PlanLift, PlanMuscle
from pipeline.models.volume.pool import fit_volume_pool
from tests.answered import THRESHOLDS, Answered
from tests.simulated_record import any_prior


def table_of(decade: Answered, name: str, version: str = "progress") -> pl.DataFrame:
    tables = decade.answers.tables
    heads = tables["model_proposal"].filter(pl.col("version") == version)
    return tables[name].join(heads, on="proposal_id", how="semi")


@pytest.fixture(scope="module")
def propose(decade):
    """The same record proposed for again, with other wishes: nothing else is fitted anew."""
    record = decade.record
    fitted = read_indexes(record, decade.tables["model_muscle_index"])
    weeks = muscle_weeks(record, fitted)
    priors = {one: prior_of(any_prior(), one) for one in fitted}
    pool = fit_volume_pool(weeks, record.training_age, priors=priors)
    outlook = outlook_of(pool, weeks, record.training_age)
    read = VolumeRead(
        pool.answers,
        outlook,
        empty_frame("model_narrowing"),
        empty_frame("model_constraint"),
    )
    return partial(_propose, record, read, decade.tables)


def _propose(
    record: Record, read: VolumeRead, tables: dict, wishes: NextPhase, **others
) -> dict[str, pl.DataFrame]:
    events = others.pop("events", record.events)
    wished = replace(record, lifter=replace(record.lifter, next_phase=wishes), events=events)
    return answer_next_phase(wished, replace(read, **others), (), tables, THRESHOLDS)


def sets_of(tables: dict[str, pl.DataFrame]) -> dict[str, float]:
    muscles = tables["model_proposal_muscle"]
    return dict(muscles.select("muscle_id", "sets_next").rows())


def test_sets_of_lifts_and_muscles_agree(decade):
    lifts = table_of(decade, "model_proposal_lift")
    weekly = lifts.group_by("exercise_id").agg(pl.col("sets").sum())
    counted = dict.fromkeys(table_of(decade, "model_proposal_muscle")["muscle_id"], 0.0)
    for exercise, sets in weekly.rows():
        for muscles, share in zip(decade.record.muscles_of[exercise], (1.0, 0.5), strict=True):
            for muscle in muscles:
                counted[muscle] += share * sets
    rows = table_of(decade, "model_proposal_muscle")
    assert dict(rows.select("muscle_id", "sets_next").rows()) == pytest.approx(counted)
    head = table_of(decade, "model_proposal").row(0, named=True)
    assert lifts["sets"].sum() == head["weekly_sets"] > 0
    minutes = lifts.drop_nulls("day").group_by("day").agg(pl.col("minutes").sum())["minutes"]
    assert minutes.max() == pytest.approx(head["minutes"])
    assert minutes.len() == head["sessions"]
    assert head["is_feasible"]
    assert head["conflict"] is None


def test_it_expects_more_than_last_year_by_its_own_curves(decade):
    head = table_of(decade, "model_proposal").row(0, named=True)
    assert head["low"] < head["expected_pct"] < head["high"]
    assert head["expected_pct"] > head["usual_pct"]
    rows = table_of(decade, "model_proposal_muscle")
    assert rows["expected_pct_month"].mean() == pytest.approx(head["expected_pct"])


def test_every_line_has_a_short_reason_and_a_finding_or_says_published_only(decade):
    findings = set(decade.tables["finding"]["finding_id"])
    for name in ("model_proposal_muscle", "model_proposal_lift"):
        rows = decade.answers.tables[name]
        assert rows["because"].str.len_chars().max() <= 44
        assert set(rows["finding_id"].drop_nulls()) <= findings
    muscles = decade.answers.tables["model_proposal_muscle"]
    assert muscles.filter(pl.col("finding_id").is_null() & ~pl.col("is_published")).is_empty()
    assert set(muscles["role"]) <= {"build", "test", "ease", "hold"}


def test_a_lift_follows_its_muscles_or_is_said_to_trade_places_with_others(decade):
    muscles = table_of(decade, "model_proposal_muscle")
    moves = dict(muscles.select("muscle_id", pl.col("sets_next") - pl.col("sets_now")).iter_rows())
    lifts = table_of(decade, "model_proposal_lift").unique("exercise_id")
    changed = lifts.filter(pl.col("status").is_in(["more", "fewer"]))
    assert len(changed) > 0
    for lift, status, because in changed.select("exercise_id", "status", "because").iter_rows():
        direct, _ = decade.record.muscles_of[lift]
        way = 1 if status == "more" else -1
        follows = any(way * moves.get(one, 0.0) >= 1.0 for one in direct)
        assert because.endswith("for what it trains") == follows


def test_failure_and_no_reserve_only_where_it_is_safe(decade):
    kinds = decade.record.exercises.select("exercise_id", "equipment", "mechanics")
    rows = (
        decade.answers.tables["model_proposal_lift"]
        .filter(pl.col("sets") > 0)
        .join(kinds, on="exercise_id")
    )
    is_safe = pl.col("equipment").is_in(["machine", "cable"]) | (pl.col("mechanics") == "isolation")
    unsafe = rows.filter(~is_safe)
    assert not unsafe["to_failure"].any()
    assert unsafe["rir"].drop_nulls().min() >= 1
    assert (rows["reps_low"] <= rows["reps_high"]).all()
    assert rows["to_failure"].any()


def test_weeks_climb_by_the_step_and_the_last_one_eases(decade):
    weeks = table_of(decade, "model_proposal_week")
    head = table_of(decade, "model_proposal").row(0, named=True)
    assert weeks["week_start"].min() == head["start"] > head["made_from"]
    assert head["start"].weekday() == 0
    for (_,), rows in weeks.sort("week").partition_by("muscle_id", as_dict=True).items():
        sets = rows["sets"].to_numpy()
        assert sets.size == head["weeks"]
        assert rows["is_easing"].to_list() == [False] * (sets.size - 1) + [True]
        assert sets[-1] == pytest.approx(sets[-2] / 2)
        most = np.maximum(THRESHOLDS["weekly_increase"] * sets[:-2], 1.0)
        assert np.all(np.abs(np.diff(sets[:-1])) <= most + 1e-9)


def test_what_would_tell_most_is_recommended_only_from_a_tenth_on(decade):
    tables = decade.answers.tables
    head = tables["model_proposal"].filter(pl.col("version") == "learning").row(0, named=True)
    lines = table_of(decade, "model_proposal_muscle", "learning")
    assert head["weeks"] == WEEKS
    if head["width_share"] <= 1 - LEAST_NARROWING:
        tested = lines.filter(pl.col("role") == "test")
        assert tested["muscle_id"].to_list() == [head["narrows_muscle"]]
    else:
        assert lines.is_empty()
        assert "nothing is recommended" in head["said"].lower()


def test_priorities_hold_and_lifts_out_are_heeded(propose):
    free = sets_of(propose(NextPhase()))
    rows = propose(NextPhase(priorities=("chest",), hold=("lats",), lifts_out=("bench_press",)))
    muscles = {row["muscle_id"]: row for row in rows["model_proposal_muscle"].to_dicts()}
    assert muscles["chest"]["sets_next"] >= max(muscles["chest"]["sets_now"], free["chest"]) - 1e-6
    assert muscles["chest"]["because"] == "a priority of yours"
    assert muscles["lats"]["role"] == "hold"
    assert muscles["lats"]["sets_next"] <= muscles["lats"]["sets_now"] + 1e-6
    bench = rows["model_proposal_lift"].filter(pl.col("exercise_id") == "bench_press")
    assert bench.select("sets", "status", "day", "because").rows() == [
        (0, "out", None, "left out at your wish")
    ]


def test_a_lift_that_an_injury_rules_out_is_not_asked_for(propose):
    out = pl.DataFrame(
        [{"lifter_id": "larch", "event_id": "e", "exercise_id": "overhead_press", "reason": "r"}]
    )
    rows = propose(NextPhase(), constraints=conform("model_constraint", out))
    press = rows["model_proposal_lift"].filter(pl.col("exercise_id") == "overhead_press")
    assert press["sets"].sum() == 0
    assert press["because"].to_list() == ["an open injury rules it out"]


def test_a_muscle_of_a_lift_that_is_out_for_an_injury_is_not_raised(propose):
    wished = NextPhase(priorities=("front_delts",))
    line = {"lifter_id": "larch", "event_id": "e", "exercise_id": "overhead_press"}
    out = conform("model_constraint", pl.DataFrame([{**line, "reason": NAMED}]))
    free, spared = (
        proposed["model_proposal_muscle"]
        .filter(pl.col("muscle_id") == "front_delts")
        .row(0, named=True)
        for proposed in (propose(wished), propose(wished, constraints=out))
    )
    assert free["sets_next"] > free["sets_now"]
    assert spared["sets_next"] <= spared["sets_now"] + 1e-6


def test_lifts_that_load_an_injured_region_get_no_more_and_none_is_brought_in(decade, propose):
    record = decade.record
    event = {"event_id": "e", "kind": "injury", "start": record.last_day, "regions": "shoulder"}
    injured = pl.concat([record.events, pl.DataFrame([event])], how="diagonal_relaxed")
    loading = record.exercises.filter(pl.col("shoulder").is_in(["some", "much"]))["exercise_id"]
    pressed = ("front_delts", "chest")
    others = tuple(muscle for muscle in record.weekly_sets if muscle not in pressed)
    # Any one of these may end where it stands, by a hair that differs between machines.
    asked = (
        NextPhase(priorities=pressed[:1]),
        NextPhase(priorities=pressed, weekly_sets=90),
        NextPhase(priorities=pressed, weekly_sets=90, hold=others),
    )
    free, spared = (
        pl.concat(
            proposed["model_proposal_lift"]
            .filter(pl.col("exercise_id").is_in(loading.implode()))
            .group_by("exercise_id")
            .agg(pl.col("sets").sum(), pl.col("sets_now", "status", "because").first())
            for proposed in (propose(wished, events=events) for wished in asked)
        )
        for events in (record.events, injured)
    )
    raised = (pl.col("sets") > pl.col("sets_now").ceil()) | (pl.col("status") == "new")
    assert not free.filter(raised).is_empty()
    assert spared.filter(raised).is_empty()
    stays = spared.filter(pl.col("status") == "stays")
    assert set(stays["because"]) == {"kept as it is: shoulder in your journal"}


def test_no_lift_that_loads_an_injured_region_goes_to_failure(propose):
    record, read, tables = propose.args
    is_curl = pl.col("exercise_id") == "hammer_curl"
    loads = pl.when(is_curl).then(pl.lit("some")).otherwise(pl.col("elbow"))
    marked = replace(record, exercises=record.exercises.with_columns(elbow=loads))
    event = {"event_id": "e", "kind": "injury", "start": record.last_day, "regions": "elbow"}
    injured = pl.concat([record.events, pl.DataFrame([event])], how="diagonal_relaxed")
    free, spared = (
        _propose(marked, read, tables, NextPhase(), events=events)["model_proposal_lift"]
        .filter(is_curl, pl.col("sets") > 0)
        .row(0, named=True)
        for events in (record.events, injured)
    )
    assert (free["to_failure"], free["rir"]) == (True, 1)
    assert (spared["to_failure"], spared["rir"]) == (False, 2)


@pytest.mark.parametrize(
    ("usual", "is_safe", "is_loading", "asked"),
    [
        (None, True, False, None),
        (None, False, True, 2.0),
        (0.5, True, False, 0.5),
        (0.5, False, False, 1.0),
        (0.5, False, True, 2.0),
        (3.0, False, True, 3.0),
    ],
)
def test_the_least_reserve_is_asked_for_where_it_must_be(usual, is_safe, is_loading, asked):
    assert _reserve(usual, is_safe=is_safe, is_loading=is_loading) == asked


def test_a_muscle_whose_lifts_may_all_not_be_raised_says_so():
    caps = {"careful": {"curl"}, "loading": {"curl": "elbow"}, "spared": {}}
    wishes = SimpleNamespace(hold=(), priorities=(), **caps)
    curl, row = PlanLift("curl", {"biceps": 1.0}, 3.0, 4.0), {"biceps": 0.5, "lats": 1.0}
    lifts = (curl, PlanLift("row", row, 3.0, 4.0))
    because, none = [], np.zeros(0)
    biceps = PlanMuscle("biceps", none, none, 8.0, 4.0, 20.0)
    for known in (lifts, (*lifts, replace(curl, exercise_id="free_curl"))):
        problem = SimpleNamespace(lifts=known)
        situation = SimpleNamespace(wishes=wishes, problem=problem, published={"biceps"})
        why = explain_muscle(situation, Known({}, {}), biceps, 8.5, None, steps=(), is_full=True)
        because.append(why.because)
    assert because == ["not raised: elbow in your journal", "published average only"]


def test_limits_of_the_lifter_are_kept_or_the_wish_to_relax_is_named(propose):
    small = propose(NextPhase(sessions=2, weekly_sets=44, weeks=5))
    head = small["model_proposal"].row(0, named=True)
    assert (head["weekly_sets"] <= 44, head["sessions"], head["weeks"]) == (True, 2, 5)
    none = propose(NextPhase(weekly_sets=10, hold=("klaves",)))
    head = none["model_proposal"].row(0, named=True)
    assert not head["is_feasible"]
    assert "more weekly sets than the limit" in head["conflict"]
    assert "Not known, so not heeded: klaves." in head["conflict"]


def test_support_follows_the_finding_once_it_is_settled(decade):
    muscles = decade.answers.tables["model_proposal_muscle"]
    thin = decade.tables["finding"].with_columns(support=pl.lit("thin"))
    settled = settle_proposals(muscles, thin)
    told = settled.filter(pl.col("finding_id").is_not_null())
    assert set(told["support"]) == {"thin"}
    assert settled.drop("support").equals(muscles.drop("support"))


def test_a_short_record_rests_on_the_published_average_only(two_years):
    muscles = two_years.answers.tables["model_proposal_muscle"]
    assert muscles["is_published"].all()
    assert muscles["finding_id"].is_null().all()
    assert set(muscles["support"]) == {"not enough"}
    assert two_years.answers.tables["model_proposal"]["version"].to_list() == ["progress"]
    changed = muscles.filter(pl.col("role") != "hold")
    assert set(changed["because"]) == {"published average only"}
