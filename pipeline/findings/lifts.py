"""Lifts: fitted level and slopes of each, and the reserve that the level implies.

Fitted before anything is counted, since a hard set is one with little in reserve and most records
leave the reserve out in some years.
"""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import SEGMENTED, Record, column, strength_arrays
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.narrow import narrow_findings
from pipeline.findings.say import say_number
from pipeline.findings.slopes import SlopeAnswers
from pipeline.findings.support import support_level
from pipeline.models.strength.lift_level import LiftLevel, fit_lift_level
from pipeline.models.strength.rep_curve import estimate_reserve as reserve_at_level
from pipeline.models.strength.span_changes import fit_span_changes

METHOD = "local linear trend on adjusted sets"
LEVEL_COVERAGE = 0.90
CURVE_PERCENT, CURVE_COVERAGE = 80.0, 0.90  # of the 1RM; interval of the repetitions there
MOST_ESTIMATED_RIR = 10.0


@dataclass(frozen=True)
class LiftAnswers:
    """Tables ``model_lift_level``, ``model_lift_change``, ``model_rep_curve``; lifts' findings."""

    levels: pl.DataFrame
    changes: pl.DataFrame
    curves: pl.DataFrame
    findings: tuple[Finding, ...]

    @property
    def rep_slopes(self) -> dict[str, float]:
        """Own repetition slope of each lift."""
        return dict(self.curves.select("exercise_id", "slope").iter_rows())


def answer_lifts(record: Record, thresholds: dict[str, float]) -> LiftAnswers:
    """Fit every lift of the record and answer its level and slopes."""
    frames: list[pl.DataFrame] = []
    changes: list[pl.DataFrame] = []
    findings: list[Finding] = []
    curves: list[dict[str, object]] = []
    groups = record.strength_sets.partition_by("exercise_id", as_dict=True, maintain_order=True)
    for (exercise_id,), sets in sorted(groups.items()):
        fitted = fit_lift(record, exercise_id, sets)
        subject, name = f"lift:{exercise_id}", record.name_of(exercise_id)
        windows = SlopeAnswers(record, "lift_slope", subject, name, thresholds)
        if isinstance(fitted, Refusal):
            findings += [_refuse_level(record, subject, fitted), *windows.refuse(fitted)]
            continue
        curves.append(_curve_row(record, exercise_id, fitted))
        frames.append(_level_frame(record, exercise_id, fitted))
        changes.append(_change_frame(record, exercise_id, fitted))
        findings += [_find_level(record, subject, name, fitted), *windows.answer(fitted)]
    levels = pl.concat([empty_frame("model_lift_level"), *frames])
    between = pl.concat([empty_frame("model_lift_change"), *changes])
    narrowed = narrow_findings(record, findings, None, thresholds)
    curve_frame = (
        conform("model_rep_curve", pl.DataFrame(curves, infer_schema_length=None))
        if curves
        else empty_frame("model_rep_curve")
    )
    return LiftAnswers(levels, between, curve_frame, narrowed.findings)


def estimate_reserve(record: Record, answers: LiftAnswers) -> pl.DataFrame:
    """``record.sets`` with reserve estimated where it was not recorded and a level is known.

    Repetitions to failure at the set's load by the fitted level and the lifter's own repetition
    curve, less the repetitions done; between 0 and 10, ``rir_source`` "estimated".
    """
    curves = answers.curves.select("exercise_id", rep_slope="slope", rep_level="level")
    known = answers.levels.select("exercise_id", "week_start", "level_log")
    sets = record.with_week_start(record.sets)
    sets = sets.join(known, on=["exercise_id", "week_start"], how="left", maintain_order="left")
    sets = sets.join(curves, on="exercise_id", how="left", maintain_order="left")
    estimate = _reserve(sets)
    fill = pl.Series("estimate", estimate).fill_nan(None)
    is_open = pl.col("rir").is_null() & ~pl.col("is_warmup") & ~pl.col("is_doubted")
    is_open &= (pl.col("segment_no") == 1) & pl.col("estimate").is_not_null()
    sets = sets.with_columns(fill).with_columns(
        rir=pl.when(is_open).then("estimate").otherwise("rir"),
        rir_source=pl.when(is_open).then(pl.lit("estimated")).otherwise("rir_source"),
    )
    return conform(
        "tidy_set", sets.drop("week_start", "level_log", "rep_slope", "rep_level", "estimate")
    )


def _reserve(sets: pl.DataFrame) -> np.ndarray:
    """Reserve of each set by the fitted level, at most 10; nan where unknown."""
    left = reserve_at_level(
        column(sets, "level_log"),
        column(sets, "load_moved_kg"),
        column(sets, "reps"),
        column(sets, "rep_slope"),
        column(sets, "rep_level"),
    )
    return np.minimum(left, MOST_ESTIMATED_RIR)


def fit_lift(record: Record, exercise_id: str, sets: pl.DataFrame) -> LiftLevel | Refusal:
    """Level of a lift from these sets of it (all of them, or those of one angle)."""
    arrays = strength_arrays(record, sets)
    if record.equipment.get(exercise_id) not in SEGMENTED:
        del arrays["segment"]
    return fit_lift_level(
        **arrays,
        n_weeks=record.n_weeks,
        recent_sets=np.nan_to_num(record.recent_sets_of_lift(exercise_id)),
        is_loose=record.loose_weeks([exercise_id]),
        age_years=float(record.training_age[0]),
    )


def _level_frame(record: Record, exercise_id: str, fitted: LiftLevel) -> pl.DataFrame:
    weeks = np.flatnonzero(np.isfinite(fitted.level_log))
    frame = pl.DataFrame(
        {
            "week_start": [record.week_start(week) for week in weeks],
            "level_log": fitted.level_log[weeks],
            "se": fitted.se[weeks],
            "best_log": pl.Series(fitted.best_log[weeks]).fill_nan(None),
            "is_trained": fitted.is_trained[weeks],
        }
    ).with_columns(lifter_id=pl.lit(record.lifter.lifter_id), exercise_id=pl.lit(exercise_id))
    return conform("model_lift_level", frame)


def _change_frame(record: Record, exercise_id: str, fitted: LiftLevel) -> pl.DataFrame:
    found = fit_span_changes(fitted)
    frame = pl.DataFrame(
        {
            "week_from": [record.week_start(int(week)) for week in found.week_from],
            "week_to": [record.week_start(int(week)) for week in found.week_to],
            "change_log": found.change_log,
            "se": found.se,
            "n_weeks_trained": found.n_weeks_trained,
        },
        schema_overrides={"week_from": pl.Date, "week_to": pl.Date},
    ).with_columns(lifter_id=pl.lit(record.lifter.lifter_id), exercise_id=pl.lit(exercise_id))
    return conform("model_lift_change", frame)


def _curve_row(record: Record, exercise_id: str, fitted: LiftLevel) -> dict[str, object]:
    reps, low, high = fitted.reps_at(CURVE_PERCENT, CURVE_COVERAGE)
    lighter, *_ = fitted.reps_at(CURVE_PERCENT - 10.0, CURVE_COVERAGE)
    return {
        "lifter_id": record.lifter.lifter_id,
        "exercise_id": exercise_id,
        "slope": fitted.rep_slope,
        "slope_se": fitted.rep_slope_se,
        "level": fitted.rep_level,
        "level_se": fitted.rep_level_se,
        "reps_at_80": reps,
        "low": low,
        "high": high,
        "reps_at_70": lighter,
        "n_sets": fitted.n_sets,
        "n_sets_with_reserve": fitted.n_sets_with_reserve,
    }


def _find_level(record: Record, subject: str, name: str, fitted: LiftLevel) -> Finding:
    week = int(np.flatnonzero(fitted.is_trained)[-1])
    kg = fitted.level_interval(week, LEVEL_COVERAGE)
    shown = [say_number(value) for value in kg]
    return find_answered(
        support_level(100.0 * float(np.hypot(fitted.se[week], fitted.height_se))),
        lifter_id=record.lifter.lifter_id,
        question="lift_level",
        subject=subject,
        unit="kg",
        method=METHOD,
        window="now",
        estimate=kg[0],
        low=kg[1],
        high=kg[2],
        coverage=LEVEL_COVERAGE,
        n=fitted.n_sets,
        n_of="sets",
        from_date=record.week_start(int(np.flatnonzero(fitted.is_trained)[0])),
        to_date=record.week_start(week),
        sentence=(
            f"{name}: estimated 1RM {shown[0]} kg ({shown[1]} to {shown[2]}) "
            f"when last trained, from {fitted.n_sets:,} sets."
        ),
    )


def _refuse_level(record: Record, subject: str, refusal: Refusal) -> Finding:
    return find_refused(
        refusal,
        lifter_id=record.lifter.lifter_id,
        question="lift_level",
        subject=subject,
        unit="kg",
        method=METHOD,
        window="now",
    )
