"""All questions of one lifter: tidy tables and marts in, model tables and findings out."""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.body import answer_balance, answer_measures
from pipeline.findings.easing import answer_easing
from pipeline.findings.muscles import answer_muscles
from pipeline.findings.narrow import narrow_findings, outlooks_of
from pipeline.findings.nights import answer_nights
from pipeline.findings.volume import answer_volume, weekly_body_weight


@dataclass(frozen=True)
class LifterAnswers:
    """Model tables by name, and table ``finding``."""

    tables: dict[str, pl.DataFrame]
    findings: pl.DataFrame


def answer_lifter(
    record: Record,
    tables: Mapping[str, pl.DataFrame],
    rep_slopes: dict[str, float],
    thresholds: dict[str, float],
) -> LifterAnswers:
    """Answer everything but the lifts, which are answered before anything is counted.

    Parameters
    ----------
    record : sets with reserve estimated, events told and found.
    tables : ref_muscle, ref_prior, ref_fact, and this lifter's tidy_signal and mart_week_lifter.
    rep_slopes : each lift's own repetition slope, from ``answer_lifts``.
    thresholds : settings by name.
    """
    muscles, signals = tables["ref_muscle"], tables["tidy_signal"]
    indexes = answer_muscles(record, muscles, thresholds)
    volume = answer_volume(
        record,
        indexes.fitted,
        muscles,
        tables["ref_prior"],
        weekly_body_weight(record, signals),
        thresholds,
    )
    easing = answer_easing(record, rep_slopes, tables["ref_fact"])
    nights = answer_nights(record, signals, rep_slopes)
    findings = [
        *indexes.findings,
        *volume.findings,
        *easing.findings,
        *nights.findings,
        *answer_measures(record, signals, thresholds["slope_window_years"]),
        answer_balance(record, tables["mart_week_lifter"]),
    ]
    outlooks = outlooks_of(record, indexes.fitted, volume.responses)
    narrowed = narrow_findings(record, findings, outlooks, thresholds)
    return LifterAnswers(
        {
            "model_muscle_index": indexes.index,
            "model_exercise_link": indexes.links,
            "model_block": volume.blocks,
            "model_volume_curve": volume.curves,
            "model_deload_path": easing.paths,
            "model_deload_event": easing.events,
            "model_layoff": easing.layoffs,
            "model_signal": nights.signals,
            "model_narrowing": narrowed.table,
        },
        finding_frame(narrowed.findings),
    )


def finding_frame(findings: list[Finding] | tuple[Finding, ...]) -> pl.DataFrame:
    """Table ``finding``."""
    if not findings:
        return empty_frame("finding")
    rows = [finding.as_row() for finding in findings]
    return conform("finding", pl.DataFrame(rows, infer_schema_length=None))
