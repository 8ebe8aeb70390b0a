"""Forecasts: every level a year ahead at the present habits, with "no change" beside it.

Reads the tables of all lifters at once: with enough of them the drift is learnt from the others, so
that nobody's own record tells its own future; else the published one is used and named.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR, say_date
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_forecast
from pipeline.models.forecast.predict import Forecast, GroupDrift, fit_drift, forecast
from pipeline.models.forecast.steps import History
from pipeline.models.strength.slopes import PRACTICE_WEEKS
from pipeline.models.weeks import normal_quantile

EPOCH = date(1970, 1, 1)
METHOD = "last level and a shrunken drift"
COVERAGE = 0.8
DAYS_AHEAD = 364
YEARS_AHEAD = DAYS_AHEAD / DAYS_PER_YEAR
EVERY_WEEKS = 26  # levels closer than that hold the same sets
MIN_WEEKS = 26  # of record; common practice, no published source
REST_WEEKS = 26  # a lift left for longer has no present habits to go on with
FOLDS = 5  # each lifter's drift is learnt from the lifters of the other folds
MOST_LIFTERS = 100  # in one fold: more would not sharpen a drift

TABLES = (
    *("model_lift_level", "model_muscle_index", "finding"),
    *("ref_lifter", "ref_exercise", "ref_muscle", "mart_week_lifter"),
)
SERIES = ("lifter_id", "subject", "week_start", "level_log", "se")


@dataclass(frozen=True)
class Subject:
    """One fitted series: whose, of what, its history and the last week it was trained.

    course_se, height_se : of the last level in logs, of the curve's course and of its height.
    """

    lifter_id: str
    subject: str
    name: str
    weeks: int
    last: date
    history: History
    course_se: float
    height_se: float

    @property
    def is_lift(self) -> bool:
        """Told in kg; a muscle's index has no unit, its forecast is a change in %."""
        return self.subject.startswith("lift:")


def answer_forecasts(tables: Mapping[str, pl.DataFrame]) -> list[Finding]:
    """A forecast or a refusal for every lift done in the last half year and every muscle.

    ``tables``: those of ``TABLES``, of all lifters; of findings only the lift levels are read.
    """
    subjects = list(list_subjects(tables))
    return answer_subjects(subjects, learn_groups(subjects))


def answer_subjects(subjects: Sequence[Subject], groups: Mapping[str, GroupDrift]) -> list[Finding]:
    """A forecast or a refusal for each; ``groups`` as ``learn_groups`` gives them."""
    return [_answer(one, groups.get(one.lifter_id)) for one in subjects]


def list_series(tables: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """Levels of all lifts and muscles with columns ``SERIES``, up to the last trained week."""
    levels = tables["model_lift_level"].with_columns(
        subject=pl.format("lift:{}", "exercise_id"),
        last=pl.col("week_start").filter("is_trained").max().over("lifter_id", "exercise_id"),
    )
    index = tables["model_muscle_index"].with_columns(subject=pl.format("muscle:{}", "muscle_id"))
    parts = [levels.filter(pl.col("week_start") <= pl.col("last")), index]
    return pl.concat([part.select(SERIES) for part in parts])


def list_subjects(tables: Mapping[str, pl.DataFrame]) -> Iterator[Subject]:
    """Every series that is still trained, as a history of half-yearly levels."""
    began = dict(tables["ref_lifter"].select("lifter_id", "training_began").iter_rows())
    weeks = tables["mart_week_lifter"].group_by("lifter_id").agg(pl.col("week_start").max())
    ends = dict(weeks.iter_rows())
    names = _names(tables)
    heights = _heights(tables["finding"])
    series = list_series(tables).sort(SERIES[:3]).partition_by("lifter_id", "subject", as_dict=True)
    for (lifter_id, subject), rows in series.items():
        last = rows["week_start"][-1]
        if ends[lifter_id] - last > timedelta(weeks=REST_WEEKS):
            continue
        yield Subject(
            lifter_id=lifter_id,
            subject=subject,
            name=names.get(subject, subject.split(":", 1)[1].removeprefix("unmatched:")),
            weeks=(last - rows["week_start"][0]).days // 7 + 1,
            last=last,
            history=summarise_history(rows, began[lifter_id]),
            course_se=float(rows["se"][-1]),
            height_se=_height_se(heights.get((lifter_id, subject)), float(rows["se"][-1])),
        )


def summarise_history(rows: pl.DataFrame, training_began: date) -> History:
    """Levels every ``EVERY_WEEKS`` back from the last, the first weeks of practice left out."""
    days = rows["week_start"].to_physical().to_numpy()  # of the epoch; a frame a lift is slow
    weeks, back = (days - days[0]) // 7, (days[-1] - days) // 7
    used = (back % EVERY_WEEKS == 0) & ((weeks >= 2 * PRACTICE_WEEKS) | (back == 0))
    ages = (days[used] - (training_began - EPOCH).days) / DAYS_PER_YEAR
    return History(
        ages - ages[0],
        np.exp(rows["level_log"].to_numpy()[used]),
        max(float(ages[0]), 0.0),
        rows["se"].to_numpy()[used],
    )


def learn_groups(subjects: Sequence[Subject]) -> dict[str, GroupDrift]:
    """The drift of the others by lifter, from their muscles; lifters with too few others have
    none. Rounded, so that a week of one lifter moves nobody else unless the group moves."""
    lifters = sorted({one.lifter_id for one in subjects})
    fold = {lifter: place % FOLDS for place, lifter in enumerate(lifters)}
    learnt: dict[str, GroupDrift] = {}
    for apart in range(FOLDS):
        others = [one for one in lifters if fold[one] != apart][:MOST_LIFTERS]
        drift = learn_group(subjects, others)
        if isinstance(drift, GroupDrift):
            learnt |= {one: drift.rounded() for one in lifters if fold[one] == apart}
    return learnt


def learn_group(subjects: Sequence[Subject], lifters: Sequence[str]) -> GroupDrift | Refusal:
    """What the muscles of these lifters teach about a year."""
    chosen = set(lifters)
    used = [one for one in subjects if not one.is_lift and one.lifter_id in chosen]
    return fit_drift([one.history for one in used], YEARS_AHEAD, [one.lifter_id for one in used])


def _answer(one: Subject, group: GroupDrift | None) -> Finding:
    common: dict[str, Any] = {
        "lifter_id": one.lifter_id,
        "question": "forecast",
        "subject": one.subject,
        "unit": "kg" if one.is_lift else "%",
        "method": METHOD,
        "window": "now",
    }
    if one.weeks < MIN_WEEKS:
        remedy = "keep training it"
        refusal = Refusal(one.weeks, MIN_WEEKS, "weeks of record", remedy, counted="weeks")
        return find_refused(refusal, **common)
    made = forecast(one.history, YEARS_AHEAD, group, COVERAGE)
    published = forecast(one.history, YEARS_AHEAD, None, COVERAGE)
    if isinstance(made, Refusal) or isinstance(published, Refusal):
        raise AssertionError(f"{YEARS_AHEAD} years are never refused")
    value, low, high = _told(one, made)
    beside = _told(one, published)
    unchanged = made.last if one.is_lift else 0.0
    return find_answered(
        support_forecast(one.weeks, 100.0 * one.course_se, not low <= unchanged <= high),
        **common,
        estimate=value,
        low=low,
        high=high,
        coverage=COVERAGE,
        n=one.weeks,
        n_of="weeks of record",
        from_date=one.last,
        to_date=one.last + timedelta(days=DAYS_AHEAD),
        prior_estimate=beside[0],
        prior_low=beside[1],
        prior_high=beside[2],
        sentence=_say(one, made, (value, low, high)),
    )


def _told(one: Subject, made: Forecast) -> tuple[float, float, float]:
    """Forecast, low, high: a lift in kg with the error of its height, a muscle's change in %."""
    if one.is_lift:
        whole = made.widened(one.height_se)
        return whole.value, whole.low, whole.high
    low, high = (100.0 * (end / made.last - 1.0) for end in (made.low, made.high))
    return made.change_pct, low, high


def _say(one: Subject, made: Forecast, told: tuple[float, float, float]) -> str:
    drift = "the published drift (Steele et al. 2023, read)"
    if not made.group.is_published:
        drift = f"the drift of {made.group.n_people} other lifters"
    day = say_date(one.last + timedelta(days=DAYS_AHEAD))
    if one.is_lift:
        kg = [say_number(value) for value in told]
        level = f"{kg[0]} kg ({kg[1]} to {kg[2]})"
        beside = f"{say_number(made.last)} kg if nothing changed"
    else:
        level = f"{say_change(told[0])} % {say_interval(told[1], told[2])}"
        beside = "0 if nothing changed"
    return (
        f"{one.name}: {level} expected by {day} if training goes on as now, {beside}; from the "
        f"last level and {drift}."
    )


def _names(tables: Mapping[str, pl.DataFrame]) -> dict[str, str]:
    lifts = tables["ref_exercise"].select(pl.format("lift:{}", "exercise_id"), "name")
    muscles = tables["ref_muscle"].select(pl.format("muscle:{}", "muscle_id"), "name")
    rows = [*lifts.iter_rows(), *muscles.iter_rows()]
    return {subject: name[:1].upper() + name[1:] for subject, name in rows}


def _heights(findings: pl.DataFrame) -> dict[tuple[str, str], float]:
    """Standard error of every lift's last level in logs, course and height together."""
    levels = findings.filter((pl.col("question") == "lift_level") & pl.col("low").is_not_null())
    rows = levels.select("lifter_id", "subject", "low", "high", "coverage").iter_rows()
    return {
        (lifter_id, subject): float(np.log(high / low)) / (2.0 * normal_quantile(coverage))
        for lifter_id, subject, low, high, coverage in rows
    }


def _height_se(whole: float | None, course_se: float) -> float:
    """What is left of a level's standard error without its course; a muscle's index has none."""
    if whole is None:
        return 0.0
    return float(np.sqrt(max(whole**2 - course_se**2, 0.0)))
