"""Rows of table ``model_priority``: every muscle of every phase, told or placebo."""

from collections.abc import Iterator, Sequence
from datetime import timedelta

import numpy as np

from pipeline.findings.arrays import Record
from pipeline.findings.priorities.phases import ToldPhase
from pipeline.models.priority.ledger import MusclePhase, PhaseEffect, PriorityLedger


def muscle_rows(
    record: Record, told: Sequence[ToldPhase], ledger: PriorityLedger
) -> list[dict[str, object]]:
    """Phases in order, each followed by its muscles; then the placebo stretches."""
    rows: list[dict[str, object]] = []
    for one, effect in zip(told, ledger.effects, strict=True):
        if isinstance(effect, PhaseEffect):
            dates = {"start": one.start, "end": one.end, "event_id": one.event_id}
            rows += [{**dates, "is_placebo": False, **row} for row in _rows(effect)]
    for effect in ledger.placebos:
        dates = {
            "start": record.week_start(effect.phase.first),
            "end": record.week_start(effect.phase.last) + timedelta(days=6),
            "event_id": None,
        }
        rows += [{**dates, "is_placebo": True, **row} for row in _rows(effect)]
    return rows


def _rows(effect: PhaseEffect) -> Iterator[dict[str, object]]:
    for one in effect.muscles:
        yield _row(one)


def _row(one: MusclePhase) -> dict[str, object]:
    return {
        "muscle_id": one.muscle,
        "role": "chosen" if one.is_chosen else "other",
        "usual_sets": one.usual_sets,
        "phase_sets": one.phase_sets,
        "usual_share": one.usual_share,
        "phase_share": one.phase_share,
        "change_pct": _known(one.change_pct),
        "expected_pct": _known(one.matched_pct),
        "n_matched": one.n_matched,
        "gain_pct": one.gain.value,
        "low": one.gain.low,
        "high": one.gain.high,
    }


def _known(value: float) -> float | None:
    return value if np.isfinite(value) else None
