"""Lifts of the long record for the page Lifts; all invented."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import polars as pl

from dashboards.numbers import interval, signed
from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding
from pipeline.core.page_book import PageBook
from pipeline.reference import load_exercises
from tests.pages.kept_book import kept_findings, kept_frame

COMMON = {"method": "state space", "model_version": "1.0", "coverage": 0.95}
Interval = tuple[float, float, float]


@dataclass(frozen=True)
class Lift:
    """One invented lift: weeks in which it was done, its slopes and its level (kg).

    ``last`` and ``first``: estimate and ends in % a year, or None for a refusal.
    """

    id: str
    muscles: tuple[str, ...]
    spans: tuple[tuple[int, int], ...]
    last: Interval | None
    first: Interval | None
    level: float
    weeks: int


ALL, LATE = ((0, 626),), ((200, 626),)
LIFTS = (
    Lift(
        id="bench_press",
        muscles=("chest", "triceps"),
        spans=((0, 120), (150, 626)),
        last=(2.9, 2.1, 3.7),
        first=(8.5, 7.0, 10.0),
        level=116,
        weeks=109,
    ),
    Lift("machine_chest_press", ("chest",), ((118, 152),), None, None, 98, 28),
    Lift("pull_up", ("lats", "biceps"), ALL, (4.9, 0.9, 9.0), (6.0, 5.0, 7.0), 119, 84),
    Lift("barbell_row", ("upper_back",), ALL, (-2.7, -3.6, -1.9), (6.7, 5.9, 7.5), 66, 65),
    Lift("leg_press", ("quads", "glutes"), LATE, (4.5, 1.5, 7.4), None, 252, 51),
    Lift("cable_lateral_raise", ("side_delts",), ALL, (0.1, -0.8, 0.9), (3.5, 2.0, 5.0), 9.6, 71),
    Lift("lat_pulldown", ("lats",), ALL, (2.4, -0.4, 5.2), (10.0, 8.0, 12.0), 97, 62),
    Lift("barbell_curl", ("biceps",), ((0, 300),), (1.2, 0.2, 2.4), None, 41, 88),
    Lift("romanian_deadlift", ("hamstrings",), ((500, 540),), None, None, 140, 36),
)
# Barbell curl is named by a person; nobody else's text is in a lift.
HOSTILE_LIFT = "barbell_curl"
SWAP_WEEK, PLATEAU = 121, (470, 560)


def lift_frames(lifter_id: str, first: date, hostile: str) -> dict[str, pl.DataFrame]:
    """Exercises, fitted levels, weekly sets and the one swap of the lifts."""
    patterns = dict(load_exercises().select("exercise_id", "pattern").iter_rows())
    names = [
        {
            "exercise_id": one.id,
            "pattern": patterns.get(one.id),
            "name": f"{_name(one.id)}{hostile if one.id == HOSTILE_LIFT else ''}",
        }
        for one in LIFTS
    ]
    roles = [
        {"exercise_id": one.id, "muscle_id": muscle, "role": "direct"}
        for one in LIFTS
        for muscle in one.muscles
    ]
    weeks = [row for one in LIFTS for row in _weeks(one, lifter_id, first)]
    # Bench press has its sets in the book already.
    sets = [
        {
            "lifter_id": lifter_id,
            "exercise_id": row["exercise_id"],
            "week_start": row["week_start"],
            "working_sets": 4,
            "top_load_kg": 50.0,
        }
        for row in weeks
        if row["is_trained"] and row["exercise_id"] != "bench_press"
    ]
    made = {
        "ref_exercise": names,
        "ref_contribution": roles,
        "model_lift_level": weeks,
        "mart_week_lift": sets,
        "model_lift_change": [row for one in LIFTS for row in _changes(one, lifter_id, first)],
        "model_exercise_link": [_swap(lifter_id, first)],
        "model_rep_curve": [_curve(one, lifter_id) for one in LIFTS],
        "model_index_check": [_check(lifter_id, first)],
        "model_growth": [row for one in LIFTS for row in _growth(one, lifter_id)],
    }
    frames = {
        table: conform(table, pl.DataFrame(rows, infer_schema_length=None))
        for table, rows in made.items()
    }
    return frames | {"model_prediction": kept_frame(lifter_id, first)}


def _curve(lift: Lift, lifter_id: str) -> dict[str, object]:
    return {
        "lifter_id": lifter_id,
        "exercise_id": lift.id,
        "slope": 1.04,
        "slope_se": 0.05,
        "level": -0.02,
        "level_se": 0.04,
        "reps_at_80": 7.9,
        "low": 5.5,
        "high": 10.7,
        "reps_at_70": 13.1,
        "n_sets": 10 * lift.weeks,
        "n_sets_with_reserve": 4 * lift.weeks,
    }


def _check(lifter_id: str, first: date) -> dict[str, object]:
    return {
        "lifter_id": lifter_id,
        "muscle_id": "chest",
        "from_date": first,
        "to_date": first + timedelta(weeks=400),
        "index_pct": 12.0,
        "low": 8.0,
        "high": 16.0,
        "dummy_pct": 15.5,
        "periods": 98,
    }


def young_sets(lifter_id: str, first: date, weeks: int) -> pl.DataFrame:
    """Bench press in every week of a short record."""
    rows = [
        {
            "lifter_id": lifter_id,
            "exercise_id": "bench_press",
            "week_start": first + timedelta(weeks=w),
            "working_sets": 6,
            "top_load_kg": 60.0,
        }
        for w in range(weeks)
    ]
    return conform("mart_week_lift", pl.DataFrame(rows))


def _name(lift_id: str) -> str:
    words = lift_id.replace("_", " ")
    return words.replace("romanian", "Romanian")


def _weeks(lift: Lift, lifter_id: str, first: date) -> list[dict[str, object]]:
    """A level that rises to that of today; every third week of a span is off."""
    rng = np.random.default_rng(len(lift.id))
    start, end = lift.spans[0][0], lift.spans[-1][1]
    rows = []
    for w in range(start, end):
        level = np.log(lift.level) - 0.3 * (1 - w / end) ** 2
        is_on = any(a <= w < b for a, b in lift.spans) and (w % 3 != 2 or w == end - 1)
        rows.append(
            {
                "lifter_id": lifter_id,
                "exercise_id": lift.id,
                "week_start": first + timedelta(weeks=w),
                "level_log": level,
                "se": 0.02,
                "best_log": level + rng.normal(0, 0.03) if is_on else None,
                "is_trained": is_on,
            }
        )
    return rows


def _changes(lift: Lift, lifter_id: str, first: date) -> list[dict[str, object]]:
    """The change of the level of ``_weeks`` between weeks of a grid; its error grows with time."""
    levels = {row["week_start"]: row for row in _weeks(lift, lifter_id, first)}
    start, end = lift.spans[0][0], lift.spans[-1][1] - 1
    inner = [week for week in range(625, 0, -13) if start < week < end]
    grid = [first + timedelta(weeks=week) for week in sorted({start, end, *inner})]
    return [
        {
            "lifter_id": lifter_id,
            "exercise_id": lift.id,
            "week_from": a,
            "week_to": b,
            "change_log": levels[b]["level_log"] - levels[a]["level_log"],  # type: ignore[operator]
            "se": 0.004 * np.sqrt((b - a).days / 7),
            "n_weeks_trained": (b - a).days // 10,
        }
        for a in grid
        for b in grid
        if (b - a).days >= 26 * 7
    ]


def _growth(lift: Lift, lifter_id: str) -> list[dict[str, object]]:
    """Gain by training year beside a law; none for lifts done under two years."""
    years = (lift.spans[-1][1] - lift.spans[0][0]) // 52
    start = 1.0 + lift.spans[0][0] / 52
    return [
        {
            "lifter_id": lifter_id,
            "subject": f"lift:{lift.id}",
            "training_age_years": start + year,
            "gain_pct": 2.5 * year,
            "low_pct": 2.5 * year - 3.0,
            "high_pct": 2.5 * year + 3.0,
            "law_pct": 1.6 * year,
            "law_low_pct": 1.2 * year,
            "law_high_pct": 2.0 * year,
        }
        for year in (range(1, years) if years >= 2 else ())
    ]


def _forecast(lift: Lift, lifter_id: str, first: date) -> dict[str, object]:
    """A year on: 2 % above the level by a group's drift, 1 % by the published one."""
    last = first + timedelta(weeks=lift.spans[-1][1] - 1)
    return Finding(
        **{**COMMON, "coverage": 0.8},
        lifter_id=lifter_id,
        question="forecast",
        subject=f"lift:{lift.id}",
        unit="kg",
        window="now",
        n=lift.weeks,
        n_of="weeks of record",
        support="thin",
        support_why="626 weeks of record, the interval holds no change",
        estimate=1.02 * lift.level,
        low=0.98 * lift.level,
        high=1.06 * lift.level,
        prior_estimate=1.01 * lift.level,
        prior_low=0.96 * lift.level,
        prior_high=1.06 * lift.level,
        from_date=last,
        to_date=last + timedelta(days=364),
        sentence=f"{_name(lift.id)}: {1.02 * lift.level:.1f} kg expected.",
    ).as_row()


def _swap(lifter_id: str, first: date) -> dict[str, object]:
    return {
        "lifter_id": lifter_id,
        "muscle_id": "chest",
        "from_exercise_id": "bench_press",
        "to_exercise_id": "machine_chest_press",
        "swap_date": first + timedelta(weeks=SWAP_WEEK),
        "weeks_both": 12,
        "ratio": 1.08,
        "low": 1.01,
        "high": 1.15,
        "why": "gym change",
    }


def lift_findings(lifter_id: str, first: date) -> list[dict[str, object]]:
    """Level, slopes and one plateau of the lifts."""
    rows = []
    for lift in LIFTS:
        rows.append(_level(lift, lifter_id, first))
        if lift.spans[-1][1] == LATE[0][1]:
            rows.append(_forecast(lift, lifter_id, first))
        end = lift.spans[-1][1]
        begin = lift.spans[0][0]
        rows.append(_slope(lift, lifter_id, "last", lift.last, (max(begin, end - 157), end), first))
        rows.append(_slope(lift, lifter_id, "first", lift.first, (begin, begin + 157), first))
        if lift.last:
            year = _slope(lift, lifter_id, "year", lift.last, (end - 52, end), first)
            rows.append({**year, "age_from": 12.0, "age_to": 13.0, "finding_id": f"y-{lift.id}"})
    kept = kept_findings(lifter_id, first)
    still = (0.4, -0.5, 1.3)
    plateau = _slope(LIFTS[5], lifter_id, "event", still, PLATEAU, first)
    return [*rows, {**plateau, "question": "plateau", "finding_id": "plateau"}, *kept]


def _level(lift: Lift, lifter_id: str, first: date) -> dict[str, object]:
    low, high = 0.96 * lift.level, 1.04 * lift.level
    return Finding(
        **{**COMMON, "coverage": 0.9},
        lifter_id=lifter_id,
        question="lift_level",
        subject=f"lift:{lift.id}",
        unit="kg",
        window="now",
        n=10 * lift.weeks,
        n_of="sets",
        support="fair",
        support_why="standard error 2.4 %",
        estimate=lift.level,
        low=low,
        high=high,
        to_date=first + timedelta(weeks=lift.spans[-1][1] - 1),
        sentence=f"{_name(lift.id)}: estimated 1RM {lift.level:.1f} kg.",
    ).as_row()


def _slope(
    lift: Lift,
    lifter_id: str,
    window: str,
    found: Interval | None,
    weeks: tuple[int, int],
    first: date,
) -> dict[str, object]:
    common = {
        **COMMON,
        "lifter_id": lifter_id,
        "question": "lift_slope",
        "subject": f"lift:{lift.id}",
        "unit": "%/year",
        "window": window,
        "n": lift.weeks,
        "n_of": "trained weeks",
    }
    if found is None:
        return Finding(
            **{**common, "coverage": None, "n_of": "trained weeks in the span"},
            support="not enough",
            support_why=f"{lift.weeks} trained weeks in the span, 40 needed",
            needs="more logged weeks of the lift",
            needed=40,
            counted="trained weeks",
            sentence=f"Not enough: {lift.weeks} trained weeks in the span, 40 needed; keep it in.",
        ).as_row()
    estimate, low, high = found
    return Finding(
        **common,
        support="fair",
        support_why="enough weeks",
        estimate=estimate,
        low=low,
        high=high,
        from_date=first + timedelta(weeks=weeks[0]),
        to_date=first + timedelta(weeks=weeks[1], days=-1),
        sentence=f"{_name(lift.id)}: {signed(estimate)} % a year {interval(low, high)}.",
    ).as_row()


def crowded_book(book: PageBook, more: int, first: date) -> PageBook:
    """The book with so many further lifts, each with the weeks and answers of the pull up."""
    tables = dict(book.tables)
    schema = tables["finding"].schema
    said = [row for row in lift_findings("aspen", first) if row["subject"] == "lift:pull_up"]
    copied = {
        name: tables[name].filter(pl.col("exercise_id") == "pull_up")
        for name in ("model_lift_level", "mart_week_lift")
    }
    copied["finding"] = pl.DataFrame(said, schema=schema)
    for name, frame in copied.items():
        column, kind = ("subject", "lift:") if name == "finding" else ("exercise_id", "")
        named = [
            frame.with_columns(pl.lit(f"{kind}lift_{number}").alias(column))
            for number in range(more)
        ]
        tables[name] = pl.concat([tables[name], *named])
    return replace(book, tables=tables)
