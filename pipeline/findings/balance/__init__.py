"""Pulling against pushing, rear against front shoulder, knee against hip: now and in the lifter's
own history. There is no norm, since no published one was found; the finding says so."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.balance.say import say_sets, say_strength
from pipeline.findings.balance.sides import Pair, count_side, read_pairs
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.index_weeks import IndexWeeks
from pipeline.findings.muscles import frame_of
from pipeline.findings.support import COUNTED, Support
from pipeline.models.balance.ratios import (
    COVERAGE,
    OwnHistory,
    Ratios,
    compare_with_own,
    count_ratios,
    strength_ratios,
)

# Two indexes compared, no check on the own record repeats it: thin whatever the interval.
TWO_INDEXES = Support("thin", "two indexes against their own start, not checked")
METHODS = {
    "sets": "count of sets a quarter against the quarters before",
    "strength": "strength indexes against the own start, last quarter against those before",
}


@dataclass(frozen=True)
class BalanceAnswers:
    """Tables about balance by name, and their findings."""

    tables: dict[str, pl.DataFrame]
    findings: tuple[Finding, ...]


def answer_pairs(
    record: Record, fitted: Mapping[str, IndexWeeks], sides: pl.DataFrame
) -> BalanceAnswers:
    """Every pair of ``sides`` (table ``ref_balance``), by sets and by strength.

    ``fitted`` are the muscles' indexes.
    """
    rows: list[dict[str, object]] = []
    own_rows: list[dict[str, object]] = []
    findings: list[Finding] = []
    for pair in read_pairs(sides):
        for kind, ratios in (
            ("sets", _ratios_of_sets(record, pair)),
            ("strength", _ratios_of_strength(record, pair, fitted)),
        ):
            own = ratios if isinstance(ratios, Refusal) else compare_with_own(ratios)
            findings.append(_find(record, pair, kind, own, ratios))
            key = {"lifter_id": record.lifter.lifter_id, "pair_id": pair.pair_id, "kind": kind}
            if not isinstance(ratios, Refusal):
                rows += _ratio_rows(record, key, ratios)
            if not isinstance(own, Refusal):
                own_rows.append(key | _own_row(own))
    tables = {
        "model_balance": frame_of("model_balance", rows),
        "model_balance_own": frame_of("model_balance_own", own_rows),
    }
    return BalanceAnswers(tables, tuple(findings))


def _ratios_of_sets(record: Record, pair: Pair) -> Ratios | Refusal:
    return count_ratios(*(count_side(record, pair.members("sets", side)) for side in pair.names))


def _ratios_of_strength(
    record: Record, pair: Pair, fitted: Mapping[str, IndexWeeks]
) -> Ratios | Refusal:
    arrays = []
    for side in pair.names:
        muscles = [m for _, m in pair.members("strength", side) if m in fitted]
        for name in ("level_log", "se"):
            known = [getattr(fitted[muscle], name) for muscle in muscles]
            arrays.append(np.reshape(known, (len(known), record.n_weeks)))
    return strength_ratios(*arrays)


def _find(
    record: Record, pair: Pair, kind: str, own: OwnHistory | Refusal, ratios: Ratios | Refusal
) -> Finding:
    common: dict[str, object] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "balance",
        "subject": f"pair:{pair.pair_id}@{kind}",
        "unit": "ratio",
        "method": METHODS[kind],
        "window": "now",
    }
    if isinstance(own, Refusal) or isinstance(ratios, Refusal):
        refusal = own if isinstance(own, Refusal) else ratios
        return find_refused(refusal, **common)  # type: ignore[arg-type]
    is_count = kind == "sets"
    return find_answered(
        COUNTED if is_count else TWO_INDEXES,
        **common,
        estimate=own.ratio,
        low=None if is_count else own.low,
        high=None if is_count else own.high,
        coverage=None if is_count else COVERAGE,
        n=own.quarters + 1,
        n_of="quarters",
        from_date=record.week_start(ratios.start_week[-1]),
        to_date=record.last_day,
        sentence=say_sets(pair, own) if is_count else say_strength(pair, own),
    )


def _ratio_rows(record: Record, key: dict[str, str], ratios: Ratios) -> list[dict[str, object]]:
    columns = (ratios.start_week, ratios.weeks, ratios.over, ratios.under, ratios.ratio)
    return [
        {
            **key,
            "week_start": record.week_start(start),
            "weeks": int(weeks),
            "over": float(over),
            "under": float(under),
            "ratio": float(ratio),
            "low": _known(low),
            "high": _known(high),
        }
        for start, weeks, over, under, ratio, low, high in zip(
            *columns, ratios.low, ratios.high, strict=True
        )
    ]


def _own_row(own: OwnHistory) -> dict[str, object]:
    return {
        "ratio": own.ratio,
        "low": _known(own.low),
        "high": _known(own.high),
        "usual": own.usual,
        "usual_low": own.usual_low,
        "usual_high": own.usual_high,
        "quarters": own.quarters,
        "reads_as": own.reads_as,
    }


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
