"""How often does a lifter read that a verdict changed where nothing turned?

Careers of steady growth (no layoffs, injuries, changes of gym, diets; priority phases that move
sets about and nothing else) are refreshed every week of their last two years, each time from the
record cut there: the news as a nightly refresh would tell them. Growth slows with training age and
may itself come to a halt, so only lifts and muscles whose true slope keeps its side of the
plateau's limit all the while are asked; a few of them are fitted and their lines counted up to all
lifts and muscles. Support is looked at every eighth week, before its checks, of all questions.
Ordinary careers stand beside: of the verdicts told there, how many does the truth of the same span
bear out?

``python -m tests.recovery.measure_news 6`` prints the bars, some two minutes a career; in
``make recovery`` one career in twenty takes part.
"""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.findings import Record, answer_lifts, finding_frame
from pipeline.findings.muscles import answer_muscles
from pipeline.findings.news import NEWS_READS, Now, Told, tell_news
from pipeline.findings.news.verdicts import FALLING, RISING, SLOPES
from pipeline.models.arrays import Floats
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.weeks import WEEKS_PER_YEAR
from tests.answered import THRESHOLDS, answer_career
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.simulated_record import muscles_of, population_prior, record_of, until

MODEL = "news"
STEADY = CareerOptions(
    years=5.0,
    training_age_at_start=0.5,
    n_layoffs=0,
    n_injuries=0,
    n_gym_changes=0,
    has_diet_phases=False,
    has_phase_effect=False,
    has_stress=False,
)
ORDINARY = CareerOptions(years=6.0)
YEARS = 2.0
N_LIFTS, N_MUSCLES = 5, 4  # fitted of each career
SUPPORT_WEEKS = 8
ONE_IN = 20  # careers of ``make recovery`` that are measured
MOST_LINES = 2.0  # verdict lines a lifter and year


@dataclass(frozen=True)
class NewsScore:
    """One career: verdict lines a year of all lifts, all muscles, and of support; whether each
    slope verdict told was borne out by the truth of its span."""

    lifts: float
    muscles: float
    support: float
    right: list[bool]

    @property
    def lines(self) -> float:
        """All verdict lines a year."""
        return self.lifts + self.muscles + self.support


@dataclass(frozen=True)
class CareerNews:
    """The same career steady and as careers are."""

    steady: NewsScore
    ordinary: NewsScore


@dataclass(frozen=True)
class Asked:
    """Lifts and muscles of a career that are fitted."""

    lifts: list[str]
    muscles: list[str]


def measure_career(seed: int, career: Career | None = None) -> CareerNews | None:
    """News of the last two years of one steady career and of an ordinary one.

    ``career`` only says that other models are measured too: this one draws its own.
    """
    if career is not None and seed % ONE_IN:
        return None
    steady, ordinary = (simulate_career(seed, options) for options in (STEADY, ORDINARY))
    return CareerNews(score_news(steady, is_steady=True), score_news(ordinary, is_steady=False))


def score_news(career: Career, is_steady: bool) -> NewsScore:
    """Verdict lines of one career; of a steady one only where the truth did not turn."""
    asked, record = choose_subjects(career, is_steady), record_of(career)
    days = [career.start + timedelta(weeks=week) for week in refresh_weeks(career)]
    slopes = tell_all(record, days, partial(answer_slopes, muscles_of(career), asked))
    support = tell_all(record, days[::SUPPORT_WEEKS], partial(_others, career))
    of_lifts = sum(one["question"] == "lift_slope" for one in slopes)
    n_lifts, n_muscles = max(len(asked.lifts), 1), max(len(asked.muscles), 1)
    return NewsScore(
        lifts=of_lifts * len(career.exercises) / n_lifts / YEARS,
        muscles=(len(slopes) - of_lifts) * len(career.muscles) / n_muscles / YEARS,
        support=len(_lines_of(support)) / YEARS,
        right=[_is_right(career, one) for one in slopes],
    )


def refresh_weeks(career: Career) -> range:
    """Weeks whose record each refresh reads, one a week."""
    return range(career.n_weeks - round(YEARS * WEEKS_PER_YEAR), career.n_weeks + 1)


def choose_subjects(career: Career, is_steady: bool) -> Asked:
    """Some lifts and muscles, evenly over all; of a steady career those that never turn."""
    lifts = [one.exercise_id for one in career.exercises]
    muscles = list(career.muscles)
    if is_steady:
        ends = refresh_weeks(career)
        keeps = [_keeps_side(row, ends) for row in career.truth.lift_level_log]
        lifts = [one for one, kept in zip(lifts, keeps, strict=True) if kept]
        keeps = [_keeps_side(row, ends) for row in career.truth.muscle_index_log]
        muscles = [one for one, kept in zip(muscles, keeps, strict=True) if kept]
    return Asked(
        lifts[:: max(len(lifts) // N_LIFTS, 1)][:N_LIFTS],
        muscles[:: max(len(muscles) // N_MUSCLES, 1)][:N_MUSCLES],
    )


def _keeps_side(level_log: Floats, ends: range) -> bool:
    """The true slope of the last years is on one side of the limits at every refresh."""
    last = np.asarray(ends) - 1
    first = np.maximum(last - round(THRESHOLDS["slope_window_years"] * WEEKS_PER_YEAR), 0)
    slope = 100.0 * WEEKS_PER_YEAR * (level_log[last] - level_log[first]) / (last - first)
    limit = THRESHOLDS["plateau_pct_per_year"]
    return bool(np.unique(np.digitize(slope, [-limit, limit])).size == 1)


def tell_all(
    record: Record, days: Sequence[date], answer: Callable[[Record], pl.DataFrame]
) -> list[dict[str, Any]]:
    """Findings of every verdict line, with the word told, of a refresh before each of the days."""
    lines, told = list[dict[str, Any]](), None
    for day in days:
        cut = until(record, day)
        told, new = _tell(told, cut, answer(cut))
        lines += new
    return lines


def answer_slopes(muscles: pl.DataFrame, asked: Asked, cut: Record) -> pl.DataFrame:
    """Slope findings of the lifts and muscles asked, as the answers make them."""
    chosen = muscles.filter(pl.col("muscle_id").is_in(asked.muscles))
    found = answer_muscles(cut, chosen, THRESHOLDS).findings
    # Fitted are these lifts only; the weekly sets that they are fitted with stay those of all.
    vars(cut)["strength_sets"] = cut.strength_sets.filter(pl.col("exercise_id").is_in(asked.lifts))
    return finding_frame([*answer_lifts(cut, THRESHOLDS).findings, *found])


def _others(career: Career, cut: Record) -> pl.DataFrame:
    end = cut.last_day + timedelta(days=1)
    answered = answer_career(career, population_prior(), end)
    return answered.tables["finding"].filter(~pl.col("question").is_in(SLOPES))


def _tell(told: Told | None, cut: Record, findings: pl.DataFrame) -> tuple[Told, list[Any]]:
    tables = {name: empty_frame(name) for name in NEWS_READS}
    tables |= {"finding": findings, "tidy_set": cut.sets}
    made = {"files": {"log": str(cut.last_day)}}
    news = tell_news(told, Now(cut.lifter, tables, THRESHOLDS, made))
    before = {} if told is None else told.standings
    rows = {row["finding_id"]: row for row in findings.to_dicts()}
    turned = [
        {**rows[finding], "day": cut.last_day, "was": before[finding].told, "word": one.told}
        for finding, one in news.told.standings.items()
        if finding in before and before[finding].told not in (None, one.told)
    ]
    assert len(_lines_of(turned)) == (news.lines["kind"] == "turned").sum() or news.since.more
    return news.told, turned


def _lines_of(turned: Sequence[dict[str, Any]]) -> set[tuple[object, ...]]:
    """What stands in a line of its own: a slope, or all answers to a question that turned alike."""
    return {
        (row["day"], row["question"], row["was"], row["word"])
        + ((row["subject"],) if row["question"] in SLOPES else ())
        for row in turned
    }


def _is_right(career: Career, row: dict[str, Any]) -> bool:
    """The truth of the finding's own span has the side that was told."""
    kind, own = row["subject"].split(":")
    if kind == "lift":
        at = [one.exercise_id for one in career.exercises].index(own)
        truth = career.truth.lift_level_log[at]
    else:
        truth = career.truth.muscle_index_log[career.muscles.index(own)]
    first, last = (_week(career, row[name]) for name in ("from_date", "to_date"))
    slope = 100.0 * WEEKS_PER_YEAR * (truth[last] - truth[first]) / (last - first)
    limit = THRESHOLDS["plateau_pct_per_year"]
    sides = {RISING: slope > 0.0, FALLING: slope < 0.0}
    return bool(sides.get(row["word"], abs(slope) <= limit))


def _week(career: Career, day: date) -> int:
    return int(np.clip((day - career.start).days // 7, 0, career.n_weeks - 1))


def bars(scores: Sequence[CareerNews | None]) -> list[Bar]:
    """The bar on steady careers, its parts, and what was told on ordinary ones."""
    known = [score for score in scores if score is not None]

    def part(name: str, label: str, kind: str, high: float | None = None) -> Bar:
        return measure_bar(
            MODEL,
            f"{kind} careers, {label} a year",
            lambda some: mean_of([getattr(getattr(one, kind), name) for one in some]),
            known,
            high=high,
        )

    def right(kind: str) -> Bar:
        return measure_bar(
            MODEL,
            f"{kind} careers, verdicts told that the truth bears out",
            lambda some: mean_of([hit for one in some for hit in getattr(one, kind).right]),
            known,
            n=sum(len(getattr(one, kind).right) for one in known),
        )

    return [
        part("lines", "verdict lines", "steady", MOST_LINES),
        part("lifts", "of them of lifts", "steady"),
        part("muscles", "of them of muscles", "steady"),
        part("support", "of them of support", "steady"),
        measure_bar(
            MODEL,
            "steady careers, most verdict lines of one a year",
            lambda some: max(one.steady.lines for one in some),
            known,
        ),
        right("steady"),
        part("lines", "verdict lines", "ordinary"),
        right("ordinary"),
    ]


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
