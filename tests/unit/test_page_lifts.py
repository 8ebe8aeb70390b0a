"""Frames of the page Lifts: verdicts, runs, thinning, scales, names."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.charts.axes import text_width
from dashboards.charts.lift import place_plateau_names
from dashboards.charts.lift_layout import LiftFrames, LiftLayout
from dashboards.prepare.lift_checks import check_table, curve_table
from dashboards.prepare.lift_levels import (
    REST_WEEKS,
    Calendar,
    level_points,
    lift_frames,
    small_lines,
    step_of,
    thin_out,
)
from dashboards.prepare.lift_pictures import shorten
from dashboards.prepare.lift_rows import lift_rows, say_mass
from dashboards.prepare.slopes import (
    EITHER,
    FALLING,
    REFUSED,
    RISING,
    STILL,
    least_visible,
    say_refusal,
    say_span,
    slope_axis,
    slopes_of,
    stands_apart,
)
from pipeline.core.page_book import PageBook
from pipeline.core.units import KG_PER_LB
from tests.pages.book import FIRST, WEEKS
from tests.pages.lifts_book import LIFTS, SWAP_WEEK

CALENDAR = Calendar(FIRST, WEEKS)


@pytest.fixture(scope="module")
def rows(book: PageBook) -> pl.DataFrame:
    """Rows of the lifts of the long record."""
    return lift_rows(book, book.lifters[0])


@pytest.fixture(scope="module")
def points(book: PageBook, rows: pl.DataFrame) -> pl.DataFrame:
    """Levels of the lifts of the long record."""
    return level_points(book, "aspen", rows, FIRST)


def number_of(rows: pl.DataFrame, lift_id: str) -> int:
    """The number of a lift in the frames."""
    return int(rows.filter(pl.col("id") == lift_id)["e"][0])


def test_in_order_of_names_a_marked_letter_stands_with_its_plain_one(book: PageBook) -> None:
    said = {"bench_press": "Überzug", "leg_press": "Zug", "lat_pulldown": "arm"}
    lifts = book.tables["ref_exercise"].with_columns(
        name=pl.col("exercise_id").replace_strict(said, default=pl.col("name"))
    )
    shown = lift_rows(
        replace(book, tables={**book.tables, "ref_exercise": lifts}), book.lifters[0]
    ).sort("by_name")["name"]
    assert [name for name in shown if name in {"Arm", "Überzug", "Zug"}] == [
        "Arm",
        "Überzug",
        "Zug",
    ]


def test_a_verdict_follows_the_interval_and_the_limit(book: PageBook) -> None:
    found = slopes_of(book, "lift_slope").filter(
        (pl.col("lifter_id") == "aspen") & (pl.col("window") == "last")
    )
    verdicts = dict(found.select("id", "verdict").iter_rows())
    assert verdicts["bench_press"] == RISING
    assert verdicts["barbell_row"] == FALLING
    # -0.8 to +0.9 lies within 2 % a year either way; -0.4 to +5.2 holds zero and much else.
    assert verdicts["cable_lateral_raise"] == STILL
    assert verdicts["lat_pulldown"] == EITHER
    assert verdicts["machine_chest_press"] == REFUSED


def test_a_stretch_under_a_year_is_never_still(book: PageBook) -> None:
    short = book.tables["finding"].with_columns(from_date=pl.col("to_date") - pl.duration(weeks=40))
    moved = replace(book, tables={**book.tables, "finding": short})
    found = slopes_of(moved, "lift_slope").filter(pl.col("id") == "cable_lateral_raise")
    assert found.filter(pl.col("window") == "last")["verdict"].to_list() == [EITHER]


def test_the_limit_is_the_setting_in_force(book: PageBook) -> None:
    row = {"threshold": ["plateau_pct_per_year"], "value": [0.5], "unit": ["%/year"]}
    wide = pl.DataFrame(row).with_columns(is_changed=pl.lit(True))
    moved = replace(book, tables={**book.tables, "ref_threshold": wide})
    found = slopes_of(moved, "lift_slope").filter(pl.col("id") == "cable_lateral_raise")
    assert found.filter(pl.col("window") == "last")["verdict"].to_list() == [EITHER]


def test_first_years_stand_beside_the_last_only_where_they_do_not_overlap(
    rows: pl.DataFrame,
) -> None:
    then = dict(rows.select("id", "then").iter_rows())
    assert then["bench_press"] == 8.5
    assert then["leg_press"] is None
    # Its first three years end before its last three begin, though it was done for six only.
    assert rows.filter("is_past")["id"].to_list() == [
        "barbell_curl",
        "machine_chest_press",
        "romanian_deadlift",
    ]


def test_a_lift_has_the_family_of_most_of_its_muscles(rows: pl.DataFrame) -> None:
    family = dict(rows.select("id", "f").iter_rows())
    assert (family["bench_press"], family["pull_up"], family["leg_press"]) == (0, 1, 2)


def test_runs_break_at_long_rests_only(rows: pl.DataFrame, points: pl.DataFrame) -> None:
    bench = points.filter(pl.col("e") == number_of(rows, "bench_press"))
    runs = bench.unique("s").sort("w0").select("w0", "w1", "c").rows()
    done = [run for run in runs if run[2] == 0]
    rests = [run for run in runs if run[2] == 1]
    assert len(done) == 2
    assert rests == [(done[0][1], done[1][0], 1)]
    assert rests[0][1] - rests[0][0] > REST_WEEKS
    # A pull up every week but each third: no rest.
    pull = points.filter(pl.col("e") == number_of(rows, "pull_up"))
    assert pull["s"].n_unique() == 1


@given(st.integers(1, 3000), st.integers(1, 400))
def test_a_line_never_has_more_points_than_allowed(weeks: int, most: int) -> None:
    assert -(-weeks // step_of(weeks, most)) <= most


def test_thinning_keeps_both_ends_of_every_run(points: pl.DataFrame) -> None:
    thin = thin_out(points, 7)
    ends = thin.group_by("s").agg(pl.col("w").min().alias("a"), pl.col("w").max().alias("b"))
    runs = points.unique("s").select("s", "w0", "w1")
    both = ends.join(runs, on="s")
    assert both.height == runs.height
    assert (both["a"] == both["w0"]).all()
    assert (both["b"] == both["w1"]).all()


def test_small_lines_fill_their_own_range(points: pl.DataFrame, rows: pl.DataFrame) -> None:
    lines = small_lines(points, rows, WEEKS)
    ends = lines.group_by("e").agg(low=pl.col("u").min(), high=pl.col("u").max())
    assert ends["low"].min() >= 0  # type: ignore[operator]
    assert ends["high"].max() <= 1000  # type: ignore[operator]
    pull = ends.filter(pl.col("e") == number_of(rows, "pull_up"))
    assert pull.rows() == [(number_of(rows, "pull_up"), 0, 1000)]


def test_heights_are_equal_steps_for_equal_percentages(
    book: PageBook, rows: pl.DataFrame, points: pl.DataFrame
) -> None:
    frames = lift_frames(book, "aspen", rows, points, CALENDAR)
    e = number_of(rows, "pull_up")
    guides = frames.guides.filter(pl.col("e") == e)
    value, share = np.log(guides["label"].cast(pl.Float64).to_numpy()), guides["u"].to_numpy()
    per_log = np.diff(share) / np.diff(value)
    assert per_log == pytest.approx(np.full(per_log.size, per_log.mean()), rel=0.02)
    # The band is 1.645 standard errors either way on that same scale.
    half = frames.level.filter(pl.col("e") == e)["h"][0]
    assert half == pytest.approx(1.645 * 0.02 * per_log.mean(), abs=1.0)


def test_a_rest_names_the_lift_that_took_over(
    book: PageBook, rows: pl.DataFrame, points: pl.DataFrame
) -> None:
    rests = lift_frames(book, "aspen", rows, points, CALENDAR).rests
    assert rests["label"].to_list() == ["machine chest press"]
    assert rests["e"].to_list() == [number_of(rows, "bench_press")]
    assert rests["w"][0] > SWAP_WEEK


def test_masses_are_written_in_the_unit_that_the_lifter_reads() -> None:
    assert say_mass(100.0, "kg") == "100"
    assert say_mass(9.64, "kg") == "9.6"
    assert say_mass(100.0, "lb") == f"{100 / KG_PER_LB:.0f}"


def test_refusals_say_how_much_there_is_and_how_much_is_needed() -> None:
    row = {"n": 28, "n_of": "trained weeks in the span", "needed": 40, "counted": "trained weeks"}
    assert say_refusal(row) == "28 weeks, 40 needed"
    assert say_refusal(row, is_short=True) == "28 of 40 weeks"
    group = {"n": 2, "n_of": "lifters", "needed": 5, "counted": "other"}
    assert say_refusal(group) == "2 lifters, 5 needed"


def test_a_span_is_said_in_years_or_months() -> None:
    first = date(2023, 1, 2)
    assert say_span(first, first + timedelta(weeks=157)) == "three years"
    assert say_span(first, first + timedelta(days=365)) == "one year"
    assert say_span(first, first + timedelta(days=200)) == "seven months"


def test_the_axis_holds_every_estimate_and_zero() -> None:
    rows = pl.DataFrame(
        {"est": [2.0, 9.3], "low": [1.0, 8.0], "high": [3.0, 10.6], "then": [-4.2, None]}
    )
    axis = slope_axis(100, 200, rows)
    assert axis.low <= -4.2
    assert axis.high >= 10.6
    assert axis.px(axis.low) == 100
    assert axis.px(axis.high) == 300
    assert 0.0 in axis.ticks


def test_nothing_smaller_than_half_the_narrowest_interval_can_show() -> None:
    rows = pl.DataFrame({"low": [-1.0, 0.5], "high": [3.0, 1.9]})
    assert least_visible(rows) == pytest.approx(0.7)
    assert least_visible(rows.clear()) == 0.0


def test_the_fastest_is_named_only_if_no_interval_reaches_it() -> None:
    rows = pl.DataFrame(
        {"name": ["a", "b"], "est": [5.0, 2.0], "low": [3.1, 1.0], "high": [7.0, 3.0]}
    )
    found = stands_apart(rows)
    assert found is not None
    assert found["name"] == "a"
    assert stands_apart(rows.with_columns(high=pl.lit(3.2))) is None
    assert stands_apart(rows.head(1)) is None


@given(st.text("abc XYZ", max_size=60), st.integers(40, 300))
def test_a_shortened_name_fits(name: str, room: int) -> None:
    short = shorten(name, ", to 2023"[: room // 12], room)
    assert 0.54 * 12 * len(short) <= max(room, 0.54 * 12 * (2 + len(", to 2023"[: room // 12])))


def test_own_curves_stand_in_the_order_of_names(book: PageBook, rows: pl.DataFrame) -> None:
    table = curve_table(book, book.lifters[0].lifter_id, rows)
    made = book.tables["model_rep_curve"].filter(pl.col("lifter_id") == book.lifters[0].lifter_id)
    assert made.height > 1
    assert len(table.rows) == made.height
    assert [row[0] for row in table.rows] == rows.sort("by_name")["name"].to_list()
    assert {row[1] for row in table.rows} == {f"{reps:.1f}" for reps in made["reps_at_80"]}


def test_the_index_stands_beside_its_cross_check(book: PageBook) -> None:
    table = check_table(book, book.lifters[0].lifter_id)
    assert [row[0] for row in table.rows] == ["chest"]
    assert table.rows[0][2:5] == ("+12.0", "(+8.0 to +16.0)", "+15.5")


def test_every_lift_of_the_book_is_a_row(rows: pl.DataFrame) -> None:
    assert set(rows["id"]) == {lift.id for lift in LIFTS}
    for order in ("slope", "name", "family", "level"):
        assert sorted(rows[f"by_{order}"]) == list(range(rows.height))


def test_names_of_plateaus_touch_neither_each_other_nor_the_fullest_week() -> None:
    comb = "26 sets in the fullest week"
    nothing = pl.DataFrame()
    frames = LiftFrames(
        *(nothing,) * 5,
        plateaus=pl.DataFrame(
            [(0, 100, 260), (0, 270, 420), (0, 1250, 1300), (1, 5, 90)],
            schema=["e", "w0", "w1"],
            orient="row",
        ),
        now=pl.DataFrame([(0, comb), (1, "")], schema=["e", "comb"], orient="row"),
    )
    phone = LiftLayout(34, 324, 8, 32, 250, 1305, 10, False)
    px, long = 324 / 1305, text_width("plateau", 10)
    placed = place_plateau_names(frames, phone, "plateau")
    ends: dict[int, float] = {}
    for e, w in placed.iter_rows():
        assert w * px >= ends.get(e, 0.0)
        ends[e] = w * px + long
    assert placed.filter(pl.col("e") == 0)["w"][0] == pytest.approx(100, abs=0.01)
    assert placed["e"].to_list().count(0) == 2  # the second lies too near the first
    assert ends[0] <= 324 - text_width(comb, 10)
    wide = LiftLayout(46, 1030, 124, 32, 316, 1305, 11, True)
    assert place_plateau_names(frames, wide, "plateau").height == 4
