"""One movement at other angles and positions: what was used, and whether strength carried over.

Strength carried over is not size: no record of loads can tell which variant grows a muscle more.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations

import numpy as np
import polars as pl

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record, earliest, latest
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.muscles import frame_of
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import Support
from pipeline.findings.variants.units import Rest, Unit, find_rests, find_units, read_levels
from pipeline.models.variants.carry import COVERAGE, LEAST_RESTS, Carry, pool_rests

LAST_YEAR = 52
METHOD = "change over rests against the other's, random effects"
NAMES = {
    "decline": "decline",
    "flat": "flat",
    "about_30": "about 30 degrees",
    "about_45": "about 45 degrees",
    "steep": "steep",
    "front": "arm in front",
    "beside": "arm beside",
    "behind": "arm behind",
}
NOT_SIZE = "Strength that carries over says nothing of size"
PRACTICE = {
    "press": (
        "; common practice puts the upper chest somewhere near 45 degrees with small differences, "
        "no published source"
    )
}


@dataclass(frozen=True)
class VariantAnswers:
    """Tables about variants by name, and their findings."""

    tables: dict[str, pl.DataFrame]
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class _Pairing:
    """One unit that rested while another was trained."""

    own: Unit
    other: Unit
    rests: tuple[Rest, ...]
    carry: Carry | Refusal


def answer_variants(record: Record, levels: pl.DataFrame, variants: pl.DataFrame) -> VariantAnswers:
    """Every family of ``variants`` (table ``ref_variant``) that the lifter has used.

    ``levels`` is the lifter's ``model_lift_level``.
    """
    units = find_units(record, variants)
    known = read_levels(record, units, levels)
    rows: list[dict[str, object]] = []
    findings: list[Finding] = []
    for family_id, family in (
        variants.select("family_id", "family").unique(maintain_order=True).rows()
    ):
        own = [one for one in units if one.family_id == family_id]
        pairings = [one for one in _pair(own, known) if one.rests]
        rows += [_row(record, one) for one in pairings]
        findings += [_find(record, one) for one in pairings]
        if own and not pairings:
            findings.append(_refuse(record, family_id, family, own))
    tables = {
        "model_variant": frame_of("model_variant", rows),
        "model_variant_use": frame_of("model_variant_use", [_use(record, one) for one in units]),
    }
    return VariantAnswers(tables, tuple(findings))


def _pair(units: list[Unit], known: dict) -> Iterator[_Pairing]:
    """Pairs of unlike variants whose levels are known, either way round."""
    for own, other in permutations(units, 2):
        keys = (own.exercise_id, own.variant_id), (other.exercise_id, other.variant_id)
        if own.variant_id == other.variant_id or not all(key in known for key in keys):
            continue
        rests = tuple(find_rests(known[keys[0]], known[keys[1]]))
        gaps = np.array([one.own - one.other for one in rests])
        yield _Pairing(own, other, rests, pool_rests(gaps, np.array([one.se for one in rests])))


def _common(record: Record, subject: str) -> dict[str, object]:
    return {
        "lifter_id": record.lifter.lifter_id,
        "question": "variant",
        "subject": f"variant:{subject}",
        "unit": "%",
        "method": METHOD,
    }


def _find(record: Record, one: _Pairing) -> Finding:
    parts = [f"{unit.exercise_id}.{unit.variant_id}" for unit in (one.own, one.other)]
    common = _common(record, "@".join(parts))
    if isinstance(one.carry, Refusal):
        return find_refused(one.carry, **common)  # type: ignore[arg-type]
    return find_answered(
        Support("thin", f"{one.carry.rests} rests, {LEAST_RESTS} at least; not checked"),
        **common,
        estimate=one.carry.pct,
        low=one.carry.low,
        high=one.carry.high,
        coverage=COVERAGE,
        n=one.carry.rests,
        n_of="rests",
        sentence=_say(record, one, one.carry),
    )


def _say(record: Record, one: _Pairing, carry: Carry) -> str:
    own, other = (_name(record, unit) for unit in (one.own, one.other))
    weeks = say_number(float(np.mean([rest.weeks for rest in one.rests])), 0)
    read = (
        "came back ahead of the other's course"
        if carry.low > 0
        else "came back behind the other's course"
        if carry.high < 0
        else "showed no difference from the other's course that can be told"
    )
    return (
        f"{own} rested {carry.rests} times while {other[:1].lower()}{other[1:]} was trained, "
        f"{weeks} weeks on average: it {read}, {say_change(carry.pct)} % "
        f"{say_interval(carry.low, carry.high)}. {NOT_SIZE}{PRACTICE.get(one.own.family_id, '')}."
    )


def _name(record: Record, unit: Unit) -> str:
    return f"{record.name_of(unit.exercise_id)} ({NAMES[unit.variant_id]})"


def _refuse(record: Record, family_id: str, family: str, units: list[Unit]) -> Finding:
    """A family of which no variant ever rested for another."""
    n_variants = len({one.variant_id for one in units})
    if n_variants < 2:
        refusal = Refusal(
            has=n_variants,
            needs=2,
            of_what=f"variants of {family}",
            remedy="write the angle or position beside a set where it was another",
        )
    else:
        none: Refusal | Carry = pool_rests(np.empty(0), np.empty(0))
        assert isinstance(none, Refusal)
        refusal = none
    return find_refused(refusal, **_common(record, family_id))  # type: ignore[arg-type]


def _use(record: Record, unit: Unit) -> dict[str, object]:
    """Row of ``model_variant_use``."""
    recent = unit.sets.filter(pl.col("week") >= record.n_weeks - LAST_YEAR)
    return {
        "lifter_id": record.lifter.lifter_id,
        "family_id": unit.family_id,
        "exercise_id": unit.exercise_id,
        "variant_id": unit.variant_id,
        "sets": unit.sets.height,
        "sets_last_year": recent.height,
        "first_date": earliest(unit.sets["session_date"]),
        "last_date": latest(unit.sets["session_date"]),
    }


def _row(record: Record, one: _Pairing) -> dict[str, object]:
    """Row of ``model_variant``."""
    carry = None if isinstance(one.carry, Refusal) else one.carry
    return {
        "lifter_id": record.lifter.lifter_id,
        "family_id": one.own.family_id,
        "exercise_id": one.own.exercise_id,
        "variant_id": one.own.variant_id,
        "other_exercise_id": one.other.exercise_id,
        "other_variant_id": one.other.variant_id,
        "rests": len(one.rests),
        "weeks_away": float(np.mean([rest.weeks for rest in one.rests])),
        "own_pct": 100 * float(np.mean([rest.own for rest in one.rests])),
        "other_pct": 100 * float(np.mean([rest.other for rest in one.rests])),
        "difference_pct": None if carry is None else carry.pct,
        "low": None if carry is None else carry.low,
        "high": None if carry is None else carry.high,
    }
