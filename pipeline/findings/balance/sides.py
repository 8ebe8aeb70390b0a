"""Which muscles and patterns are set against which (table ``ref_balance``), and their sets."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record
from pipeline.models.arrays import Floats


@dataclass(frozen=True)
class Pair:
    """Two sides: ``names`` by side (over, under); ``rows`` of ``ref_balance``."""

    pair_id: str
    name: str
    names: dict[str, str]
    rows: pl.DataFrame

    def members(self, measure: str, side: str) -> list[tuple[str, str]]:
        """(kind, id) of the side's members for sets or strength."""
        own = self.rows.filter((pl.col("measure") == measure) & (pl.col("side") == side))
        return list(own.select("member_kind", "member_id").iter_rows())


def read_pairs(sides: pl.DataFrame) -> Iterator[Pair]:
    """The pairs of ``ref_balance``, in its order, the first side first."""
    for rows in sides.partition_by("pair_id", maintain_order=True):
        first = rows.row(0, named=True)
        names = dict(rows.select("side", "side_name").unique(maintain_order=True).iter_rows())
        yield Pair(first["pair_id"], first["pair"], {s: names[s] for s in ("over", "under")}, rows)


def count_side(record: Record, members: list[tuple[str, str]]) -> Floats:
    """(n_weeks,) counted sets of a side; nan in unlogged weeks.

    A set counts once, where its exercise has one of the side's patterns or trains one of its
    muscles directly.
    """
    lifts = set[str]()
    for kind, member in members:
        if kind == "pattern":
            lifts.update(record.exercises.filter(pl.col("pattern") == member)["exercise_id"])
        else:
            lifts.update(one for one, (direct, _) in record.muscles_of.items() if member in direct)
    weeks = record.counted.filter(pl.col("exercise_id").is_in(list(lifts)))["week"].to_numpy()
    sets = np.bincount(weeks, minlength=record.n_weeks).astype(np.float64)
    sets[record.unlogged] = np.nan
    return sets
