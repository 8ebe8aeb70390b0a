"""Sentences about effort: counts, and an association that stays one."""

from enum import Enum

from pipeline.core.counted import say_count
from pipeline.core.units import kg_to_lb
from pipeline.findings.effort.counts import DROP_MINUTES
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.models.effort.blocks import EffortEffect

WAYS = {
    "free_weight": "with free weights",
    "machine": "on machines",
    "cable": "on cables",
    "body_weight": "with body weight",
}


class Way(Enum):
    """What the share of sets is of: how it stands in a sentence."""

    FAILURE = "taken to failure"
    DROP_CLUSTERS = "done as drop sets"


def say_kind(kind: str, failed: int, sets: int) -> str:
    """Share of sets to failure on one kind of equipment."""
    return (
        f"{failed} of {sets} sets {WAYS[kind]} in the last year were taken to failure, "
        f"{say_number(100 * failed / sets, 0)} %."
    )


def say_drops(clusters: int, drops: int, added_kg: float, whole_kg: float, unit: str) -> str:
    """What drops added to the last year's work and time; ``unit`` of the lifter, kg or lb."""
    share = f" ({say_number(100 * added_kg / whole_kg)} % of all)" if whole_kg else ""
    return (
        f"{say_count(clusters, 'drop sets')} in the last year added "
        f"{say_count(drops, 'drops')}, "
        f"{_say_work(added_kg, unit)}{share} and about "
        f"{say_count(round(DROP_MINUTES * drops), 'minutes')}, at half a minute a drop (assumed)."
    )


def _say_work(added_kg: float, unit: str) -> str:
    """Tonnes, or whole pounds."""
    return f"{kg_to_lb(added_kg):,.0f} lb" if unit == "lb" else f"{say_number(added_kg / 1000)} t"


def say_effect(way: Way, found: EffortEffect) -> str:
    """Progress beside a larger share of such sets."""
    told = (
        "no difference can be told"
        if found.low <= 0.0 <= found.high
        else ("progress stood higher" if found.low > 0 else "progress stood lower")
    )
    return (
        f"In blocks with ten points more of the sets {way.value}, {told}: "
        f"{say_change(found.pct_per_year)} % a year {say_interval(found.low, found.high)}, from "
        f"{found.n_pairs} comparisons of blocks of {found.n_muscles} muscles, "
        f"{say_number(100 * found.mean_share, 0)} % of whose sets were {way.value}. "
        "An association: who trains harder in good months shows the same."
    )
