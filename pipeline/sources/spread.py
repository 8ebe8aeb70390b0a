"""Rows that hold several sets, each in its own columns: ``Weight 1, Reps 1, Weight 2, Reps 2``."""

from dataclasses import replace

import polars as pl

from pipeline.core.source import NO_CELLS, PLACE, RawFile
from pipeline.core.written import NOTHING

# Fields that each set of a row may have a column of its own for.
OF_A_SET = ("load", "reps", "rir", "rpe")


def spread_sets(raw: RawFile) -> RawFile:
    """One row a set, where the map lists a column of loads for each set of a row.

    A set of which nothing is written gives no row; a row without any set gives one, as it stands.
    """
    if "load" not in raw.map.more:
        return raw
    columns, more = raw.map.columns, raw.map.more
    fields = [field for field in OF_A_SET if field in more]
    known = set(raw.frame.columns)
    sets = [
        {field: label for field in fields if (label := (columns[field], *more[field])[i]) in known}
        for i in range(len(more["load"]) + 1)
    ]
    its = {label for one in sets for label in one.values()}
    kept = [name for name in raw.frame.columns if name not in (*its, PLACE)]
    place = pl.col(PLACE) if PLACE in known else pl.format("line {}", "row_no")
    parts = [
        raw.frame.select(
            pl.int_range(pl.len()).alias("(row)"),
            pl.lit(i).alias("(set)"),
            pl.any_horizontal(_says(label) for label in one.values()).alias("(says)"),
            *kept,
            pl.format("{}, {}", place, pl.lit(next(iter(one.values())))).alias(PLACE),
            *(pl.col(label).alias(columns[field]) for field, label in one.items()),
        )
        for i, one in enumerate(sets)
        if one
    ]
    frame = pl.concat(parts, how="diagonal").sort("(row)", "(set)")
    is_bare = ~pl.col("(says)").any().over("(row)") & (pl.col("(set)") == 0)
    frame = frame.filter(pl.col("(says)") | is_bare).drop("(row)", "(set)", "(says)")
    frame = frame.with_columns(pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias("row_no"))
    names = [name for name in (*NO_CELLS, *raw.frame.columns) if name in frame.columns]
    rest = {field: labels for field, labels in more.items() if field not in fields}
    return replace(
        raw,
        map=replace(raw.map, more=rest),
        frame=frame.select(list(dict.fromkeys(names))),
    )


def _says(label: str) -> pl.Expr:
    return pl.col(label).str.strip_chars().is_in(NOTHING).not_().fill_null(False)
