"""Two writings of one lift on one day: whether they can be the same sets, and how they differ."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

# Loads in one unit are written alike; rounding to a tenth of a kilogram is let pass.
SAME_LOAD_KG = 0.06
# Loads in two units are rounded to steps of 2.5 kg or 5 lb (2.27 kg): half a step apart at most.
ROUNDED_LOAD_KG = 1.25
PER_ARM = ("per_hand", "per_side")

SAME = "same sets"
ROUNDED = "rounded in another unit"
NO_WARMUPS = "without warm-ups"
ONCE = "equal sets written once"


@dataclass(frozen=True)
class WrittenSet:
    """One segment as a file gives it: ``amount`` is (repetitions, seconds, metres, segment)."""

    load_kg: float
    amount: tuple[float, float, float, float]
    is_warmup: bool
    unit: str | None
    basis: str


def match_sets(one: Sequence[WrittenSet], other: Sequence[WrittenSet]) -> str | None:
    """How two writings of one lift and day agree; None when they are different sets.

    Tried in this order: the same sets, with loads rounded where the units differ; the same
    working sets, one of the two without warm-ups; equal sets written once.
    """
    units = {s.unit for s in (*one, *other) if s.load_kg}
    is_rounded = len(units) > 1
    if _agree(one, other, is_rounded):
        return ROUNDED if is_rounded and not _agree(one, other, False) else SAME
    work, other_work = _working(one), _working(other)
    if not work or not other_work:
        return None
    if any(_agree(a, b, is_rounded) for a in (one, work) for b in (other, other_work)):
        return NO_WARMUPS
    more, fewer = sorted((work, other_work), key=len, reverse=True)
    if _is_without_lighter(more, fewer, is_rounded):
        return NO_WARMUPS
    if _is_written_once(fewer) and _agree(_distinct(more), fewer, is_rounded):
        return ONCE
    return None


def _working(sets: Sequence[WrittenSet]) -> list[WrittenSet]:
    return [s for s in sets if not s.is_warmup]


def _is_without_lighter(
    more: Sequence[WrittenSet], fewer: Sequence[WrittenSet], is_rounded: bool
) -> bool:
    """All that the longer list has beyond the shorter is lighter and stands in front."""
    beyond = more[: len(more) - len(fewer)]
    lightest = min(s.load_kg for s in fewer)
    if not beyond or any(s.load_kg >= lightest - ROUNDED_LOAD_KG for s in beyond):
        return False
    return _agree(more[len(beyond) :], fewer, is_rounded)


def _is_written_once(sets: Sequence[WrittenSet]) -> bool:
    return len(_distinct(sets)) == len(sets)


def _distinct(sets: Sequence[WrittenSet]) -> list[WrittenSet]:
    found = {(round(s.load_kg, 1), s.amount): s for s in sets}
    return list(found.values())


def _agree(one: Sequence[WrittenSet], other: Sequence[WrittenSet], is_rounded: bool) -> bool:
    """The same amounts, and of each amount the same loads within what rounding explains."""
    if len(one) != len(other):
        return False
    if Counter(_key(s) for s in one) != Counter(_key(s) for s in other):
        return False
    pairs = zip(sorted(one, key=_order), sorted(other, key=_order), strict=True)
    return all(abs(a.load_kg - b.load_kg) <= _tolerance(a, b, is_rounded) for a, b in pairs)


def _key(one: WrittenSet) -> tuple[float, ...]:
    return one.amount


def _order(one: WrittenSet) -> tuple[tuple[float, ...], float]:
    return _key(one), one.load_kg


def _tolerance(one: WrittenSet, other: WrittenSet, is_rounded: bool) -> float:
    if not is_rounded or one.unit == other.unit:
        return SAME_LOAD_KG
    return ROUNDED_LOAD_KG * (2 if one.basis in PER_ARM or other.basis in PER_ARM else 1)
