"""Volume and progress: the published lines beside the own shape, and what would narrow it."""

import math
from dataclasses import replace
from itertools import pairwise

import polars as pl
import pytest

from dashboards.blocks import Picture, Table
from dashboards.pages.volume import build_page
from dashboards.prepare.volume import muscle_answers
from dashboards.prepare.volume_frames import blocks_of, response_frames
from dashboards.prepare.volume_narrow import narrow_table
from dashboards.prepare.volume_shape import MEET, published_shares, say_shape_method, shape_frames
from pipeline.reference import load_facts
from tests.pages.book import make_book

FACTS = {row["fact_id"]: row for row in load_facts().iter_rows(named=True)}
USED = {
    "marginal": FACTS["growth_marginal_at_12_sets"],
    "level": FACTS["growth_10_sets"],
    "slope": FACTS["growth_per_set"],
    "least": FACTS["least_sets_size"],
    "most": FACTS["sets_trained_young_men"],
}


@pytest.fixture(scope="module")
def book():
    return make_book()


@pytest.fixture(scope="module")
def page(book):
    return build_page(book, book.lifters[0])


def test_published_lines_pass_through_the_published_figures():
    """Pelland et al.: +0.24 % a set at about 12 sets (second-hand); Schoenfeld et al. 2017:
    +0.37 % a set (read), 9.8 % with ten sets or more (second-hand); shares computed."""
    bent, straight = published_shares(USED, MEET)
    assert bent == straight == pytest.approx(1.0)
    step = 1e-4
    slopes = [
        (after - before) / (2 * step)
        for before, after in zip(
            published_shares(USED, MEET - step), published_shares(USED, MEET + step), strict=True
        )
    ]
    assert slopes == pytest.approx([0.24 / 9.8, 0.37 / 9.8], rel=1e-6)
    at_four = published_shares(USED, 4.0)
    assert at_four[0] == pytest.approx(1 + 0.24 / 9.8 * 2 * math.sqrt(12) * (2 - math.sqrt(12)))
    assert at_four[1] == pytest.approx(1 - 8 * 0.37 / 9.8)


def test_published_gain_bends_and_does_not_fall():
    shares = [published_shares(USED, float(sets))[0] for sets in range(4, 36)]
    steps = [after - before for before, after in pairwise(shares)]
    assert min(steps) > 0
    assert steps == sorted(steps, reverse=True)


def test_own_shape_is_one_where_the_lines_meet_and_ends_with_the_record(book):
    answers = muscle_answers(book, "aspen")
    blocks = blocks_of(book, "aspen", answers)
    curves = response_frames(book, "aspen", answers, blocks).curves
    frames = shape_frames(USED, curves, answers)
    assert frames.own.filter(pl.col("x") == MEET)["y"].to_list() == pytest.approx(
        [1.0] * frames.own["muscle"].n_unique()
    )
    ends = curves.group_by("muscle").agg(pl.col("a", "b").first())
    beyond = frames.own.join(ends, on="muscle").filter(
        (pl.col("x") < pl.col("a")) | (pl.col("x") > pl.col("b"))
    )
    assert beyond.is_empty()
    told = set(frames.own["muscle"]) | set(frames.refused["muscle"])
    assert told == {one.muscle_id for one in answers}
    # Drawn from where growth was detectable to the upper end of the range in trained men.
    assert (frames.published["x"].min(), frames.published["x"].max()) == (4.0, 20.0)


def test_a_curve_without_progress_has_no_shape(book):
    answers = muscle_answers(book, "aspen")
    blocks = blocks_of(book, "aspen", answers)
    curves = response_frames(book, "aspen", answers, blocks).curves
    flat = curves.with_columns(y=pl.lit(0.0), lo=pl.lit(-0.1), hi=pl.lit(0.1))
    frames = shape_frames(USED, flat, answers)
    assert frames.own.is_empty()
    assert frames.refused.filter(pl.col("reason").str.contains("no progress")).height > 0


def test_the_picture_and_its_fold_name_source_and_status(book, page):
    picture = next(one for one in page.blocks if isinstance(one, Picture) and one.name == "shape")
    assert "Pelland et al. (second-hand)" in picture.caption
    assert "Schoenfeld et al. (read)" in picture.caption
    method = " ".join(str(part) for part in page.method)
    for fact in USED.values():
        assert f"{fact['source']}: {fact['status']}" in method.replace("&amp;", "&")


def test_without_the_figures_there_is_no_picture(book):
    facts = book.tables["ref_fact"].filter(pl.col("fact_id") != "growth_per_set")
    bare = replace(book, tables=book.tables | {"ref_fact": facts})
    blocks = build_page(bare, bare.lifters[0]).blocks
    assert not any(isinstance(one, Picture) and one.name == "shape" for one in blocks)
    assert say_shape_method(bare) is None


def test_the_words_of_the_legend_are_explained_beside_it(page):
    shape = next(one for one in page.blocks if isinstance(one, Picture) and one.name == "shape")
    for status in {fact["status"] for fact in (USED["marginal"], USED["slope"])}:
        assert any(f"({status})" in key.text for key in shape.keys)
        assert f"{status}: " in str(shape.caption).lower()


def test_what_would_narrow_stands_in_a_table(book):
    table = narrow_table(book, "aspen", muscle_answers(book, "aspen"))
    assert isinstance(table, Table)
    cells = {row[0]: row for row in table.rows}
    assert cells["Chest"][2:] == ("8 weeks at 9, then 8 at 21", "10 to 20", "16 %", "")
    assert cells["Front delts"][2:4] == ("none while an injury is declared", "")
    assert cells["Side delts"][2] == "no one block would tell (8 weeks at 9, then 8 at 21)"
    assert cells["Side delts"][5] == "2"
    assert cells["Triceps"][5] == "more than 20"
    shares = [float(row[4].removesuffix(" %")) for row in table.rows]
    assert shares == sorted(shares, reverse=True)


def test_nothing_tried_leaves_no_table(book):
    assert narrow_table(book, "rowan", muscle_answers(book, "rowan")) is None
