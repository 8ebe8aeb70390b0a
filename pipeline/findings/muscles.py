"""Muscles: one strength index each, its slopes, and how exercise swaps were linked."""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import SEGMENTED, Record, strength_arrays
from pipeline.findings.cross_check import check_index
from pipeline.findings.events import Swap, find_swaps
from pipeline.findings.slopes import SlopeAnswers
from pipeline.models.arrays import Ints
from pipeline.models.strength.muscle_index import MuscleIndex, fit_muscle_index
from pipeline.models.weeks import normal_quantile

LINK_COVERAGE = 0.95


@dataclass(frozen=True)
class MuscleAnswers:
    """Fitted indexes by muscle, their tables (index, links, cross-check) and findings."""

    fitted: dict[str, MuscleIndex]
    index: pl.DataFrame
    links: pl.DataFrame
    checks: pl.DataFrame
    findings: tuple[Finding, ...]


def answer_muscles(
    record: Record, muscles: pl.DataFrame, thresholds: dict[str, float]
) -> MuscleAnswers:
    """Fit the index of every muscle that has its own strip and was ever trained directly."""
    fitted: dict[str, MuscleIndex] = {}
    frames, links = [empty_frame("model_muscle_index")], [empty_frame("model_exercise_link")]
    findings: list[Finding] = []
    checks: list[dict[str, object]] = []
    shown = muscles.filter("is_shown").sort("page_order")
    for muscle_id, name in shown.select("muscle_id", "name").rows():
        sets = direct_sets(record, muscle_id)
        if sets.is_empty():
            continue
        exercises = tuple(sets["exercise_id"].unique().sort())
        index = _fit(record, muscle_id, sets, exercises, frozenset(shown["muscle_id"]))
        answers = SlopeAnswers(
            record, "muscle_slope", f"muscle:{muscle_id}", name.capitalize(), thresholds
        )
        if isinstance(index, Refusal):
            findings += answers.refuse(index)
            continue
        fitted[muscle_id] = index
        findings += answers.answer(index)
        frames.append(_index_frame(record, muscle_id, index))
        links.append(_link_frame(record, muscle_id, index, exercises, sets))
        check = check_index(record, muscle_id, index, sets)
        checks += [] if check is None else [check]
    return MuscleAnswers(
        fitted,
        pl.concat(frames),
        pl.concat(links),
        frame_of("model_index_check", checks),
        tuple(findings),
    )


def frame_of(table: str, rows: list[dict[str, object]]) -> pl.DataFrame:
    """A model table of these rows, or the empty one."""
    return (
        conform(table, pl.DataFrame(rows, infer_schema_length=None)) if rows else empty_frame(table)
    )


def direct_sets(record: Record, muscle_id: str) -> pl.DataFrame:
    """Sets that may speak of strength, of the exercises that train the muscle directly."""
    exercises = record.contributions.filter(
        (pl.col("muscle_id") == muscle_id) & (pl.col("role") == "direct")
    )["exercise_id"]
    return record.strength_sets.filter(pl.col("exercise_id").is_in(exercises.implode()))


def _count_direct(record: Record, exercise_id: str, shown: frozenset[str]) -> int:
    """How many muscles with a strip of their own the exercise trains directly."""
    direct, _ = record.muscles_of[exercise_id]
    return max(len(shown.intersection(direct)), 1)


def _fit(
    record: Record,
    muscle_id: str,
    sets: pl.DataFrame,
    exercises: tuple[str, ...],
    shown: frozenset[str],
) -> MuscleIndex | Refusal:
    code = {exercise: number for number, exercise in enumerate(exercises)}
    return fit_muscle_index(
        **strength_arrays(record, sets),
        exercise=exercise_codes(sets, code),
        n_weeks=record.n_weeks,
        n_exercises=len(exercises),
        is_segmented=np.array([record.equipment.get(one) in SEGMENTED for one in exercises]),
        recent_sets=np.nan_to_num(record.weekly_sets[muscle_id]),
        n_direct=np.array([_count_direct(record, one, shown) for one in exercises]),
        is_loose=record.loose_weeks(exercises),
        age_years=float(record.training_age[0]),
    )


def exercise_codes(sets: pl.DataFrame, code: dict[str, int]) -> Ints:
    """Exercise of each set as a number."""
    return sets["exercise_id"].replace_strict(code, return_dtype=pl.Int64).to_numpy()


def _index_frame(record: Record, muscle_id: str, index: MuscleIndex) -> pl.DataFrame:
    weeks = np.flatnonzero(np.isfinite(index.level_log))
    frame = pl.DataFrame(
        {
            "week_start": [record.week_start(week) for week in weeks],
            "level_log": index.level_log[weeks],
            "se": index.se[weeks],
            "is_trained": index.is_trained[weeks],
        }
    ).with_columns(lifter_id=pl.lit(record.lifter.lifter_id), muscle_id=pl.lit(muscle_id))
    return conform("model_muscle_index", frame)


def _link_frame(
    record: Record,
    muscle_id: str,
    index: MuscleIndex,
    exercises: tuple[str, ...],
    sets: pl.DataFrame,
) -> pl.DataFrame:
    code = {exercise: number for number, exercise in enumerate(exercises)}
    weeks = {key[0]: set(part["week"]) for key, part in sets.group_by("exercise_id")}
    rows = [
        _link_row(record, muscle_id, index, swap, code, weeks)
        for swap in find_swaps(record, sets)
        if np.isfinite(index.exercise_effect[[code[swap.before], code[swap.after]]]).all()
    ]
    return frame_of("model_exercise_link", rows)


def _link_row(
    record: Record,
    muscle_id: str,
    index: MuscleIndex,
    swap: Swap,
    code: dict[str, int],
    weeks: dict[str, set[int]],
) -> dict[str, object]:
    ratio_log, se = index.link(code[swap.before], code[swap.after])
    half = normal_quantile(LINK_COVERAGE) * se
    return {
        "lifter_id": record.lifter.lifter_id,
        "muscle_id": muscle_id,
        "from_exercise_id": swap.before,
        "to_exercise_id": swap.after,
        "swap_date": record.week_start(swap.week),
        "weeks_both": len(weeks[swap.before] & weeks[swap.after]),
        "ratio": float(np.exp(ratio_log)),
        "low": float(np.exp(ratio_log - half)),
        "high": float(np.exp(ratio_log + half)),
        "why": swap.why,
    }
