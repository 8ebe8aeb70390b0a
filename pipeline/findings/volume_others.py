"""Other lifters of the folder beside one lifter's best weekly sets: learned here, said here.

With four lifters or more (three others, ``LEAST_LIFTERS``) each lifter's published centres are
moved by what the other records alone said. The published average stays beside the answer as it is.
"""

from collections.abc import Mapping
from typing import Any

import polars as pl

from pipeline.findings.arrays import Record
from pipeline.findings.say import say_number, say_range
from pipeline.findings.stability_variants import read_muscles
from pipeline.models.volume.group import GroupShift, LifterSummary

READS = ("model_muscle_index", "tidy_signal", "ref_prior")


def summarise_lifter(record: Record, tables: Mapping[str, pl.DataFrame]) -> LifterSummary:
    """What a record alone says of its muscles' best weekly sets; ``tables`` are its ``READS``."""
    return read_muscles(record, tables).fit_pool().summarise(record.lifter.lifter_id)


def group_fields(
    found: tuple[float, float, float] | None, group: GroupShift | None
) -> dict[str, Any]:
    """Fields of a finding about the other lifters, ``found`` as ``group_best_sets`` gives it."""
    if found is None or group is None:
        return {}
    values = dict(zip(("group_estimate", "group_low", "group_high"), found, strict=True))
    return {**values, "group_n": group.n_lifters}


def say_others(found: tuple[float, float, float] | None, group: GroupShift | None) -> str:
    """What the published average says once other lifters moved it; nothing without them."""
    if found is None or group is None:
        return ""
    estimate, low, high = found
    return (
        f", and with {group.n_lifters} other lifters here {say_number(estimate, 0)} "
        f"({say_range(low, high)})"
    )
