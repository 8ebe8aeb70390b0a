"""What changed since the last refresh: told once, late enough, and the same when done again."""

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import polars as pl
import pytest

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.page_book import LifterInfo
from pipeline.findings.news import NEWS_READS, Now, Told, read_told, tell_news
from pipeline.findings.news.lines import PLACES, SUPPORT_OF
from pipeline.findings.news.verdicts import (
    FALLING,
    RISING,
    STAND_WEEKS,
    STILL,
    SUPPORTED,
    follow,
    read_word,
)

LIFTER = LifterInfo("ida", "Ida", date(2015, 1, 1))
MONDAY = date(2024, 1, 1)
MADE = {"files": {"log.csv": "1"}, "settings": "s", "reference": "r", "program": "p"}
MADE |= {"journal": "j", "corrections": "c"}


def a_set(week: int, load: float | None, reps: int, **more: object) -> dict[str, object]:
    day = MONDAY + timedelta(weeks=week)
    return {
        "lifter_id": "ida",
        "session_date": day,
        "session_id": f"ida|{day}",
        "exercise_id": "bench_press",
        "exercise_as_written": "bench",
        "exercise_order": 1,
        "set_no": 1,
        "segment_no": 1,
        "is_warmup": False,
        "load_kg": load,
        "load_basis": "total",
        "reps": reps,
        "rir_source": "none",
        "is_doubted": False,
        "file_id": "f",
        "row_no": 1,
        **more,
    }


def weeks_of(n: int, **more: object) -> list[dict[str, object]]:
    """Two sets a week that break no best."""
    return [a_set(week, load, 5, **more) for week in range(n) for load in (95.0, 100.0)]


def a_slope(low: float, high: float, **more: object) -> dict[str, Any]:
    return {
        "finding_id": "slope",
        "lifter_id": "ida",
        "question": "lift_slope",
        "subject": "lift:bench_press",
        "window": "last",
        "unit": "%/year",
        "estimate": (low + high) / 2,
        "low": low,
        "high": high,
        "from_date": date(2021, 1, 4),
        "to_date": date(2024, 1, 7),
        "n": 100,
        "n_of": "trained weeks",
        "support": "fair",
        "support_why": "",
        "evidence": "none",
        "method": "",
        "model_version": "1",
        "sentence": "",
        **more,
    }


def now_of(
    sets: list[dict[str, object]],
    findings: tuple[dict[str, Any], ...] = (),
    made: dict[str, Any] | None = None,
    **more: list[dict[str, object]],
) -> Now:
    rows: dict[str, list[dict[str, Any]]] = {
        "tidy_set": sets,
        "finding": list(findings),
        "model_rep_curve": [
            {
                "lifter_id": "ida",
                "exercise_id": "bench_press",
                "slope": 1.0,
                "slope_se": 0.1,
                "level": 0.0,
                "level_se": 0.1,
                "reps_at_80": 8.0,
                "low": 7.0,
                "high": 9.0,
                "reps_at_70": 13.0,
                "n_sets": 100,
                "n_sets_with_reserve": 0,
            }
        ],
        **more,
    }
    tables = {
        name: conform(name, pl.DataFrame(rows[name], infer_schema_length=None))
        if rows.get(name)
        else empty_frame(name)
        for name in NEWS_READS
    }
    thresholds = {"slope_window_years": 3.0, "plateau_pct_per_year": 2.0}
    return Now(LIFTER, tables, thresholds, MADE if made is None else made)


def told_of(now: Now) -> Told:
    return tell_news(None, now).told


def said(before: Told, now: Now) -> list[tuple[str, str, str]]:
    lines = tell_news(before, now).lines
    return list(lines.select("what", "is_now", "why").iter_rows())


def test_the_first_refresh_has_nothing_to_compare_with():
    news = tell_news(None, now_of(weeks_of(20)))
    assert news.since.is_first
    assert news.lines.is_empty()


def test_nothing_changed_says_nothing():
    news = tell_news(told_of(now_of(weeks_of(20))), now_of(weeks_of(20)))
    assert news.lines.is_empty()
    assert (news.since.files_same, news.since.files_changed) == (1, 0)


def test_a_best_set_is_told_at_once_and_once():
    before = told_of(now_of(weeks_of(20)))
    now = now_of([*weeks_of(20), a_set(20, 105.0, 5)])
    ((what, is_now, why),) = said(before, now)
    assert what == "Bench press, best ever: estimated 1RM"
    assert is_now == "105 kg, 5 repetitions on 20 May 2024, +4.9 %"
    assert why == "1 more set"
    assert said(tell_news(before, now).told, now) == []


@pytest.mark.parametrize(
    ("load", "reps", "more"),
    [
        (100.0, 5, {}),
        (90.0, 5, {}),
        (140.0, 5, {"is_warmup": True}),
        (140.0, 5, {"is_doubted": True}),
        (140.0, 5, {"segment_no": 2, "cluster_id": "c"}),
        (60.0, 30, {}),
    ],
)
def test_what_is_no_best(load: float, reps: int, more: dict[str, object]):
    before = told_of(now_of(weeks_of(20)))
    assert said(before, now_of([*weeks_of(20), a_set(20, load, reps, **more)])) == []


def test_more_repetitions_at_a_load_are_a_best_of_their_own():
    before = told_of(now_of([*weeks_of(20), a_set(3, 60.0, 8)]))
    ((what, is_now, _),) = said(
        before, now_of([*weeks_of(21), a_set(3, 60.0, 8), a_set(20, 60, 9)])
    )
    assert what == "Bench press, best ever: load at 9 repetitions or more"
    assert is_now.startswith("60 kg, 9 repetitions on")


def test_a_lift_of_the_body_weight_counts_repetitions():
    body = {"exercise_id": "pull_up", "load_basis": "added"}
    old = [a_set(week, None, 10, **body) for week in range(40)]
    exercise = {"exercise_id": "pull_up", "name": "pull-up", "equipment": "body_weight"}
    exercises = pl.DataFrame([exercise])
    tables = {"ref_exercise": exercises}
    before = now_of(old)
    before = replace(before, tables={**before.tables, **tables})
    now = now_of([*old, a_set(40, None, 12, **body)])
    now = replace(now, tables={**now.tables, **tables})
    ((what, is_now, _),) = said(told_of(before), now)
    assert (what, is_now[:14]) == (
        "Pull-up, best ever: load at 12 repetitions or more",
        "12 repetitions",
    )


def test_the_first_sets_of_a_lift_are_no_bests():
    before = told_of(now_of(weeks_of(10)))
    assert said(before, now_of([*weeks_of(10), a_set(10, 140.0, 5)])) == []


def test_a_best_of_the_last_years_is_told_where_an_old_one_stands():
    old = [a_set(-300, 140.0, 5), *weeks_of(20)]
    ((what, _, _),) = said(told_of(now_of(old)), now_of([*old, a_set(20, 110.0, 5)]))
    assert what == "Bench press, best of the last years: estimated 1RM"


@pytest.mark.parametrize(
    ("low", "high", "told", "word"),
    [
        (0.5, 4.0, None, RISING),
        (-4.0, -0.5, RISING, FALLING),
        (-1.0, 4.0, RISING, None),
        (-1.0, 1.5, RISING, STILL),
        (0.2, 1.5, RISING, STILL),
        (0.2, 3.0, STILL, None),
        (0.5, 4.0, STILL, RISING),
        (-4.0, -0.5, STILL, FALLING),
    ],
)
def test_how_a_slope_reads(low: float, high: float, told: str | None, word: str | None):
    assert read_word(a_slope(low, high), told, 2.0) == word


def test_a_short_span_is_no_plateau_and_a_refusal_says_nothing():
    short = a_slope(-1.0, 1.0, from_date=date(2023, 6, 5))
    assert read_word(short, None, 2.0) is None
    assert read_word(a_slope(1.0, 3.0, support="not enough"), RISING, 2.0) is None


def refreshes(words: list[tuple[int, tuple[float, float]]]) -> list[list[tuple[str, str, str]]]:
    """Lines of refreshes after so many weeks, each with the interval of its slope."""
    told, lines = None, []
    for weeks, (low, high) in words:
        now = now_of(weeks_of(weeks), (a_slope(low, high),))
        lines.append([] if told is None else said(told, now))
        told = tell_news(told, now).told
    return lines


UP, DOWN, UNCLEAR = (1.0, 4.0), (-4.0, -1.0), (-1.0, 4.0)


def test_a_verdict_is_told_when_it_has_stood_four_training_weeks():
    first, *pending, told, after = refreshes(
        [(20, UP), (21, DOWN), (22, DOWN), (24, DOWN), (25, DOWN), (26, DOWN)]
    )
    assert [first, *pending, after] == [[], [], [], [], []]
    ((what, is_now, why),) = told
    assert what == "Bench press, last years"
    assert is_now == "falling: \u22122.5 % a year (\u22124.0 to \u22121.0)"
    assert why == "so since 20 May 2024, 4 training weeks; 2 more sets"


def test_a_verdict_that_goes_to_and_fro_is_not_told():
    flips = [(20 + step, DOWN if step % 3 else UNCLEAR) for step in range(1, 12)]
    assert refreshes([(20, UP), *flips]) == [[]] * 12


def test_refreshes_left_out_make_it_later_never_earlier():
    assert [len(one) for one in refreshes([(20, UP), (30, DOWN), (40, DOWN)])] == [0, 0, 1]


def test_weeks_without_training_do_not_count():
    sets = weeks_of(20)
    up, down = a_slope(*UP), a_slope(*DOWN)
    told = told_of(now_of(sets, (up,)))
    late = [*sets, a_set(30, 100.0, 5)]
    told = tell_news(told, now_of(late, (down,))).told
    later = now_of([*late, a_set(45, 100.0, 5), a_set(46, 100.0, 5)], (down,))
    assert said(told, later) == []


def test_support_is_told_by_its_word():
    def support(word: str) -> dict[str, Any]:
        more = {"question": "deload_effect", "subject": "lifter:ida", "window": "all"}
        return a_slope(0.2, 2.0, support=word, **more)

    told = told_of(now_of(weeks_of(20), (support("thin"),)))
    for week in (21, 25, 32):  # a slope would be told in the second of these
        news = tell_news(told, now_of(weeks_of(week), (support("fair"),)))
        assert news.lines.is_empty()
        told = news.told
    news = tell_news(told, now_of(weeks_of(33), (support("fair"),)))
    (line,) = news.lines.to_dicts()
    assert (line["was"], line["is_now"]) == ("thin", "fair")
    assert (line["page"], line["anchor"]) == ("easing", "fan")


def test_answers_whose_support_goes_the_same_way_share_a_line():
    def support(muscle: str, word: str) -> dict[str, Any]:
        more = {"question": "supported_sets", "subject": f"muscle:{muscle}", "window": "now"}
        return a_slope(0.2, 2.0, support=word, finding_id=muscle, **more)

    muscles = ("chest", "calves", "traps", "abs")
    told = told_of(now_of(weeks_of(20), tuple(support(one, "thin") for one in muscles)))
    words = dict.fromkeys(muscles, "fair") | {"abs": "firm"}
    rows = tuple(support(one, word) for one, word in words.items())
    told = tell_news(told, now_of(weeks_of(21), rows)).told
    news = tell_news(told, now_of(weeks_of(33), rows))
    shared, alone = news.lines.to_dicts()
    assert shared["what"] == "3 muscles, supported sets: support"
    assert (shared["was"], shared["is_now"]) == ("thin", "fair: Chest; Calves; Traps")
    assert shared["why"] == "so since 20 May 2024, 12 training weeks; 24 more sets"
    assert (shared["page"], shared["anchor"]) == ("volume", "summary")
    assert (alone["what"], alone["is_now"]) == ("Abs, supported sets: support", "firm")


def test_every_question_that_is_watched_has_its_place_and_name():
    assert {*SUPPORTED} <= {*PLACES}
    assert {*SUPPORTED} == {*SUPPORT_OF}


def test_other_settings_tell_every_verdict_in_one_line_and_say_so_in_all():
    rows = tuple(a_slope(*UP, finding_id=f"s{i}", subject=f"lift:lift_{i}") for i in range(5))
    before = told_of(now_of(weeks_of(20), rows))
    turned = tuple({**row, "low": -4.0, "high": -1.0, "estimate": -2.5} for row in rows)
    made = {**MADE, "settings": "other", "program": "other"}
    news = tell_news(before, now_of([*weeks_of(20), a_set(20, 105.0, 5)], turned, made))
    assert news.lines["kind"].to_list() == ["rules", "best"]
    assert news.lines["is_now"][0].endswith("; and 2 more")
    assert all("the settings changed, the program changed" in why for why in news.lines["why"])
    assert news.since.rules == ("settings", "program")
    assert said(news.told, now_of([*weeks_of(20), a_set(20, 105.0, 5)], turned, made)) == []


def test_a_correction_and_the_journal_are_named_as_the_reason():
    made = {**MADE, "corrections": "other", "journal": "other"}
    before = told_of(now_of([*weeks_of(20), a_set(19, 10.5, 5)]))
    ((_, _, why),) = said(before, now_of([*weeks_of(20), a_set(19, 105.0, 5)], made=made))
    assert why == "a correction, the journal changed"


def test_doubts_names_and_gaps_are_told_when_new():
    def weeks(empty: range, n: int) -> list[dict[str, object]]:
        return [
            {
                "lifter_id": "ida",
                "week_start": MONDAY + timedelta(weeks=week),
                "week_status": "unlogged" if week in empty else "trained",
                "training_age_years": 9.0,
            }
            for week in range(n)
        ]

    doubt = {"lifter_id": "ida", "file_id": "f", "row_no": 3, "date": MONDAY, "subject": "bench"}
    doubt |= {"what": "load", "why": "ten times the usual", "column": "kg", "expect": "1000"}
    name = {"lifter_id": "ida", "exercise_as_written": "bnech", "exercise_id": "unmatched:bnech"}
    name |= {"certainty": 0.0, "how": "unmatched"}
    before = told_of(now_of(weeks_of(20), mart_week_lifter=weeks(range(0), 20)))
    now = now_of(
        weeks_of(20),
        tidy_doubt=[doubt],
        tidy_name=[name],
        mart_week_lifter=weeks(range(5, 9), 20),
    )
    assert [(what, is_now) for what, is_now, _ in said(before, now)] == [
        ("doubted values to clear", "1, 1 of them new"),
        ("names without a match", "1, new: bnech"),
        ("weeks without a set", "5 Feb 2024 to 3 Mar 2024"),
    ]
    # Weeks that come to start on Sunday move the same gap by a day: nothing new.
    moved = [
        {**week, "week_start": week["week_start"] - timedelta(days=1)}  # type: ignore[operator]
        for week in weeks(range(5, 9), 20)
    ]
    assert said(told_of(now), now_of(weeks_of(20), mart_week_lifter=moved)) == []
    again = [{**doubt, "file_id": "exported anew"}]
    same = now_of(
        weeks_of(20),
        tidy_doubt=again,
        tidy_name=[name],
        mart_week_lifter=weeks(range(5, 9), 20),
    )
    assert said(tell_news(before, now).told, same) == []


def test_at_most_ten_lines_and_what_is_left_out_is_counted():
    lifts = [f"lift_{i}" for i in range(14)]
    old = [one for lift in lifts for one in weeks_of(16, exercise_id=lift)]
    new = [a_set(16, 105.0 + i, 5, exercise_id=lift) for i, lift in enumerate(lifts)]
    name = {"lifter_id": "ida", "exercise_as_written": "bnech", "exercise_id": "unmatched:bnech"}
    name |= {"certainty": 0.0, "how": "unmatched"}
    news = tell_news(told_of(now_of(old)), now_of([*old, *new], tidy_name=[name]))
    assert news.lines.height == 10
    assert news.since.more == 5
    assert news.lines["kind"][-1] == "name"


def test_what_was_told_survives_its_file():
    told = told_of(now_of(weeks_of(20), (a_slope(*UP),)))
    assert read_told(json.loads(json.dumps(told.as_json()))) == told
    assert follow(None, RISING, MONDAY, lambda _: 0, STAND_WEEKS)[1] is False
