"""How close to failure sets are taken, where, and what progress stood beside it."""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.effort.counts import EffortSets
from pipeline.findings.effort.say import WAYS, Way, say_drops, say_effect, say_kind
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.support import COUNTED, Support
from pipeline.findings.volume_record import energy_of_week, weeks_left_out
from pipeline.models.effort.blocks import COVERAGE, EffortEffect, EffortWeeks, fit_effort

LAST_YEAR = 52
KINDS = ("free_weight", "machine", "cable", "body_weight")
UNIT = "%/year/10 %"


@dataclass(frozen=True)
class EffortAnswers:
    """Table ``model_effort`` and the findings about effort."""

    tables: dict[str, pl.DataFrame]
    findings: tuple[Finding, ...]


def answer_effort(record: Record, fitted: Mapping[str, IndexWeeks]) -> EffortAnswers:
    """Counts, what drops added, and progress beside more failure or more drop clusters.

    ``fitted`` are the muscles' indexes.
    """
    effort = EffortSets(record)
    recent = effort.sets.filter(pl.col("week") >= record.n_weeks - LAST_YEAR)
    findings = [
        *(_find_kind(record, recent, kind) for kind in KINDS),
        _find_drops(record, recent),
        *(_find_effect(record, way, fit_way(record, effort, fitted, way)) for way in Way),
    ]
    return EffortAnswers({"model_effort": effort.by_year_and_lift()}, tuple(findings))


def _common(record: Record, subject: str, unit: str, method: str, window: str) -> dict[str, object]:
    return {
        "lifter_id": record.lifter.lifter_id,
        "question": "effort",
        "subject": f"effort:{subject}",
        "unit": unit,
        "method": method,
        "window": window,
    }


def _find_kind(record: Record, recent: pl.DataFrame, kind: str) -> Finding:
    """Share of the last year's sets on one kind of equipment that went to failure."""
    common = _common(record, kind, "%", "count of the last 52 weeks", "last")
    own = recent.filter((pl.col("kind") == kind) & pl.col("is_told"))
    if own.is_empty():
        refusal = Refusal(
            has=0,
            needs=1,
            of_what=f"sets {WAYS[kind]} in a year that tells of failure",
            remedy="mark sets to failure, or write repetitions in reserve",
        )
        return find_refused(refusal, **common)  # type: ignore[arg-type]
    failed = int(own["is_failure"].sum())
    return find_answered(
        COUNTED,
        **common,
        estimate=100 * failed / own.height,
        n=own.height,
        n_of="sets",
        sentence=say_kind(kind, failed, own.height),
    )


def _find_drops(record: Record, recent: pl.DataFrame) -> Finding:
    """What drops added to the last year's work."""
    common = _common(record, "drop_work", "%", "count of the last 52 weeks", "last")
    clusters = recent.filter(pl.col("drops") > 0)
    if clusters.is_empty():
        refusal = Refusal(
            has=0, needs=1, of_what="drop sets in the last year", remedy="none is asked for"
        )
        return find_refused(refusal, **common)  # type: ignore[arg-type]
    added, whole = float(clusters["drop_kg"].sum()), float(recent["tonnage_kg"].sum())
    return find_answered(
        COUNTED,
        **common,
        estimate=100 * added / whole if whole else 0.0,
        n=clusters.height,
        n_of="clusters",
        sentence=say_drops(
            clusters.height, int(clusters["drops"].sum()), added, whole, record.lifter.unit
        ),
    )


def fit_way(
    record: Record, effort: EffortSets, fitted: Mapping[str, IndexWeeks], way: Way
) -> EffortEffect | Refusal:
    """Progress in blocks with more of the sets done in one way, over all fitted muscles."""
    is_so, among = (
        (pl.col("is_failure"), pl.col("is_told"))
        if way is Way.FAILURE
        else (pl.col("drops") > 0, pl.lit(True))
    )
    weeks = {
        muscle: EffortWeeks(
            index.level_log,
            index.se,
            record.weekly_sets[muscle],
            effort.weekly_share(muscle, is_so, among),
            weeks_left_out(record, muscle),
        )
        for muscle, index in fitted.items()
    }
    return fit_effort(weeks, record.training_age, energy_of_week(record))


def _find_effect(record: Record, way: Way, found: EffortEffect | Refusal) -> Finding:
    method = "block progress by share of sets, clustered errors"
    common = _common(record, way.name.lower(), UNIT, method, "all")
    if isinstance(found, Refusal):
        return find_refused(found, **common)  # type: ignore[arg-type]
    return find_answered(
        support_effort(found),
        **common,
        estimate=found.pct_per_year,
        low=found.low,
        high=found.high,
        coverage=COVERAGE,
        n=found.n_pairs,
        n_of="comparisons",
        from_date=record.first_week,
        to_date=record.last_day,
        sentence=say_effect(way, found),
    )


def support_effort(found: EffortEffect) -> Support:
    """Progress beside effort: thin, whatever its interval. Who goes to failure more often in a good
    month shows the same, and no check on the own record can tell the two apart."""
    holds = "holds" if found.low <= 0.0 <= found.high else "leaves out"
    return Support(
        "thin", f"{found.n_pairs} comparisons, the interval {holds} zero; an association"
    )
