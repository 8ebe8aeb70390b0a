"""All questions of one lifter: tidy tables and marts in, model tables and findings out."""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.balance import answer_pairs
from pipeline.findings.balance.weeks import answer_balance
from pipeline.findings.body import answer_measures
from pipeline.findings.easing import answer_easing
from pipeline.findings.effort import answer_effort
from pipeline.findings.index_weeks import read_indexes
from pipeline.findings.injuries import answer_injuries
from pipeline.findings.muscles import answer_muscles
from pipeline.findings.narrow import narrow_findings
from pipeline.findings.next_phase import VolumeRead, answer_next_phase
from pipeline.findings.nights import answer_nights
from pipeline.findings.priorities import answer_priorities
from pipeline.findings.variants import answer_variants
from pipeline.findings.volume import answer_volume
from pipeline.findings.volume_record import weekly_body_weight
from pipeline.models.volume.group import GroupShift


@dataclass(frozen=True)
class LifterAnswers:
    """Model tables by name, and table ``finding``."""

    tables: dict[str, pl.DataFrame]
    findings: pl.DataFrame


def answer_indexes(
    record: Record, muscles: pl.DataFrame, thresholds: dict[str, float]
) -> LifterAnswers:
    """Fit the muscles' indexes, once, and answer what they alone can answer.

    ``muscles`` is ``ref_muscle``; the other questions read the index from its table.
    """
    indexes = answer_muscles(record, muscles, thresholds)
    narrowed = narrow_findings(record, indexes.findings, None, thresholds)
    return LifterAnswers(
        {
            "model_muscle_index": indexes.index,
            "model_exercise_link": indexes.links,
            "model_index_check": indexes.checks,
        },
        finding_frame(narrowed.findings),
    )


def answer_questions(
    record: Record,
    tables: Mapping[str, pl.DataFrame],
    rep_slopes: dict[str, float],
    thresholds: dict[str, float],
    group: GroupShift | None = None,
) -> LifterAnswers:
    """Answer everything that needs neither lifts nor indexes fitted again.

    Parameters
    ----------
    record : sets with reserve estimated, events told and found.
    tables : ref_muscle, ref_prior, ref_fact, ref_balance, ref_variant, and this lifter's
        model_lift_level, model_muscle_index, tidy_signal, mart_day_signal and mart_week_lifter.
    rep_slopes : each lift's own repetition slope, from ``answer_lifts``.
    thresholds : settings by name.
    group : what other lifters say of the best weekly sets; None with too few of them.
    """
    muscles, signals = tables["ref_muscle"], tables["tidy_signal"]
    fitted = read_indexes(record, tables["model_muscle_index"])
    volume = answer_volume(
        record,
        fitted,
        muscles,
        tables["ref_prior"],
        weekly_body_weight(record, signals),
        thresholds,
        group,
    )
    easing = answer_easing(record, rep_slopes, tables["ref_fact"])
    nights = answer_nights(record, tables["mart_day_signal"], rep_slopes)
    balance = answer_pairs(record, fitted, tables["ref_balance"])
    levels = tables["model_lift_level"]
    effort = answer_effort(record, fitted)
    variants = answer_variants(record, levels, tables["ref_variant"])
    injuries = answer_injuries(record, levels, fitted, muscles)
    priorities = answer_priorities(record, fitted, volume.answers, muscles)
    findings = [
        *volume.findings,
        *priorities.findings,
        *easing.findings,
        *nights.findings,
        *balance.findings,
        *effort.findings,
        *variants.findings,
        *injuries.findings,
        *answer_measures(record, signals, thresholds["slope_window_years"]),
        answer_balance(record, tables["mart_week_lifter"]),
    ]
    narrowed = narrow_findings(record, findings, volume.outlook, thresholds)
    constraints = injuries.tables["model_constraint"]
    read = VolumeRead(volume.answers, volume.outlook, narrowed.table, constraints)
    return LifterAnswers(
        {
            "model_block": volume.blocks,
            "model_volume_curve": volume.curves,
            "model_deload_path": easing.paths,
            "model_deload_event": easing.events,
            "model_layoff": easing.layoffs,
            "model_signal": nights.signals,
            "model_narrowing": narrowed.table,
            **balance.tables,
            **effort.tables,
            **variants.tables,
            **injuries.tables,
            **priorities.tables,
            **answer_next_phase(record, read, narrowed.findings, tables, thresholds),
        },
        finding_frame(narrowed.findings),
    )


def finding_frame(findings: list[Finding] | tuple[Finding, ...]) -> pl.DataFrame:
    """Table ``finding``."""
    if not findings:
        return empty_frame("finding")
    rows = [finding.as_row() for finding in findings]
    return conform("finding", pl.DataFrame(rows, infer_schema_length=None))
