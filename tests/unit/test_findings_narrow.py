"""What would narrow a finding: filled for every muscle, silent where nothing may be proposed."""

from dataclasses import replace
from datetime import date, timedelta

import polars as pl
import pytest

from pipeline.core.finding import Finding
from pipeline.findings import finding_frame
from pipeline.findings.narrow import narrow_findings
from pipeline.findings.support import FAIR_SLOPE_HALF_WIDTH
from pipeline.models.narrowing.blocks import Outlook
from pipeline.models.volume.blocks import LEAST_PAIRS
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.answered import THRESHOLDS
from tests.unit.test_narrowing import make_outlook


def make_finding(question: str, subject: str, **others) -> Finding:
    asked = {
        "lifter_id": "larch",
        "unit": "%",
        "n": 10,
        "n_of": "deloads of 12",
        "support": "thin",
        "support_why": "the interval holds zero",
        "method": "m",
        "model_version": "1",
        "sentence": "As it was.",
        "coverage": 0.95,
    }
    return Finding(question=question, subject=subject, **(asked | others))


def narrow_one(record, finding: Finding, outlook: Outlook | None = None) -> Finding:
    return narrow_findings(record, [finding], outlook, THRESHOLDS).findings[0]


def test_every_answered_muscle_says_what_would_narrow_it(decade):
    rows = decade.answers.findings.filter(
        (pl.col("question") == "supported_sets")
        & (pl.col("window") == "now")
        & pl.col("estimate").is_not_null()
    )
    table = decade.answers.tables["model_narrowing"]
    assert rows.height == table.height >= 10
    for row in rows.iter_rows(named=True):
        block = table.row(by_predicate=pl.col("muscle_id") == row["subject"][7:], named=True)
        said = row["sentence"].split("What would narrow it: ")[1].removesuffix(".")
        assert row["needs"].startswith(said)
        assert block["narrows"] == (block["width_share"] <= 0.9)
        assert block["is_proposed"] <= block["narrows"]
        assert said.startswith("no one block would tell; ") == (not block["narrows"])
        ends = block["high_after"] - block["low_after"]
        assert ends == pytest.approx(block["width_share"] * (row["high"] - row["low"]))
        if not block["narrows"]:
            years = "more than 20" if block["years"] is None else f"about {block['years']:g}"
            assert f"; {years} years of training like this would" in said


def test_nothing_but_needs_and_the_sentence_changes(decade):
    findings = [
        make_finding("muscle_slope", "muscle:chest", window="last", estimate=1.0, low=-4.0, high=6),
        make_finding("deload_effect", "lifter:larch", estimate=0.4, low=-0.3, high=1.1),
    ]
    narrowed = narrow_findings(decade.record, findings, None, THRESHOLDS).findings
    for was, now in zip(findings, narrowed, strict=True):
        assert replace(now, needs=None, sentence=was.sentence) == was


def test_a_block_is_proposed_with_the_interval_it_would_leave(decade):
    finding = make_finding(
        "supported_sets", "muscle:chest", window="now", estimate=14.0, low=6.0, high=22.0
    )
    # Near noiseless and barely told by the past, so that one block does tell.
    outlook = make_outlook(noise=0.0003, power=1.0)
    answer = narrow_findings(decade.record, [finding], outlook, THRESHOLDS)
    row = answer.table.row(0, named=True)
    assert row["is_proposed"]
    low, high = round(row["low_after"]), round(row["high_after"])
    assert answer.findings[0].needs.endswith(f"to about {low} to {high} if the estimate stays")
    assert 6.0 < row["low_after"] < 14.0 < row["high_after"] < 22.0


def test_no_block_is_proposed_while_an_injury_is_declared(decade):
    record = decade.record
    injury = record.events.head(1).with_columns(
        kind=pl.lit("injury"),
        start=pl.lit(record.last_day - timedelta(days=20)),
        end=pl.lit(None, pl.Date),
        lifts_out=pl.lit(None, pl.String),
    )
    hurt = replace(record, events=pl.concat([record.events, injury]))
    finding = make_finding(
        "supported_sets", "muscle:chest", window="now", estimate=14.0, low=6.0, high=22.0
    )
    outlook = make_outlook(noise=0.0003, power=1.0)
    answer = narrow_findings(hurt, [finding], outlook, THRESHOLDS)
    assert answer.findings[0].needs == (
        "an injury is declared, so no block is proposed while it lasts"
    )
    assert not answer.table["is_proposed"][0]


def test_a_wide_slope_says_how_many_weeks(decade):
    days = {"from_date": date(2024, 1, 1), "to_date": date(2024, 12, 30)}
    common = {"window": "last", "unit": "%/year", "n_of": "trained weeks", **days}
    wide = make_finding("muscle_slope", "muscle:chest", estimate=1, low=-4, high=6, **common)
    said = narrow_one(decade.record, wide).needs
    assert said is not None
    weeks = int(said.split()[1])
    assert 20 < weeks < 104
    limit = f"within ±{FAIR_SLOPE_HALF_WIDTH:g} % a year"
    assert said.endswith(f"more weeks like these until it is {limit}")
    never = replace(wide, low=-30.0, high=32.0)
    assert "longer training of this kind would not" in (
        narrow_one(decade.record, never).needs or ""
    )
    narrow = replace(wide, low=0.0, high=2.0)
    assert narrow_one(decade.record, narrow).needs is None


def test_deloads_are_counted_up_to_twenty_years(decade):
    told = make_finding("deload_effect", "lifter:larch", estimate=0.6, low=-0.1, high=1.3)
    said = narrow_one(decade.record, told).needs or ""
    assert said.startswith("about ")
    assert "more deloads like these would more likely than not tell, at this pace about " in said
    small = replace(told, estimate=0.0, n=60)
    assert "nor 20 years like these" in (narrow_one(decade.record, small).needs or "")
    clear = replace(told, low=0.2, high=1.0)
    assert narrow_one(decade.record, clear).needs is None


def test_refusals_keep_their_remedy(decade, two_years):
    for answered in (decade, two_years):
        findings = pl.concat([finding_frame(answered.lifts.findings), answered.answers.findings])
        refused = findings.filter(
            pl.col("estimate").is_null() & pl.col("sentence").str.starts_with("Not enough")
        )
        assert refused.height > 0
        for row in refused.iter_rows(named=True):
            remedy = row["sentence"].split("needed; ")[1].removesuffix(".")
            assert (row["needs"] or "").startswith(remedy)


def test_time_off_is_never_recommended(decade, two_years):
    for answered in (decade, two_years):
        findings = pl.concat([finding_frame(answered.lifts.findings), answered.answers.findings])
        said = findings["needs"].drop_nulls().str.to_lowercase()
        assert not said.str.contains("layoff|time off|more injur|weeks off").any()


def test_too_few_comparisons_say_when_there_will_be_enough(two_years):
    refused = two_years.answers.findings.filter(
        (pl.col("question") == "supported_sets") & pl.col("estimate").is_null()
    )
    assert refused.height > 0
    counted = refused.filter(pl.col("counted") == "comparisons")
    assert counted.height > 0
    assert (counted["needed"] == LEAST_PAIRS).all()
    share = float(two_years.record.trained.mean())
    for row in counted.iter_rows(named=True):
        years = (LEAST_PAIRS - row["n"]) * 7 / share / WEEKS_PER_YEAR
        told = float(row["needs"].split("would tell; about ")[1].split()[0])
        assert told == pytest.approx(years, abs=0.06)
        assert row["needs"].endswith(" years of training like this would")
