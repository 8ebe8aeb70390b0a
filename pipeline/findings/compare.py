"""What moved since the last refresh, for the table on the page The record."""

import polars as pl

SCHEMA = {
    "lifter_id": pl.String,
    "what": pl.String,
    "was": pl.String,
    "is_now": pl.String,
    "why": pl.String,
}
SHOWN_QUESTIONS = {
    "supported_sets": "supported sets",
    "lift_level": "estimated 1RM",
    "lift_slope": "slope",
    "deload_effect": "after a deload",
}
MOST_LINES = 10


def no_changes() -> pl.DataFrame:
    """The comparison of a first refresh: nothing to compare with."""
    return pl.DataFrame(schema=SCHEMA)


def compare_findings(was: pl.DataFrame, now: pl.DataFrame) -> pl.DataFrame:
    """Findings that read otherwise than last time, the largest moves first, ten at most a lifter.

    A move counts when the printed estimate differs or the word of support does; its size is the
    move over the half width of the interval.
    """
    shown = now.filter(
        pl.col("question").is_in(list(SHOWN_QUESTIONS))
        & pl.col("window").is_in(["now", "last", "all"])
    )
    both = shown.join(was, on="finding_id", how="inner", suffix="_was", maintain_order="left")
    moved = both.with_columns(
        size=(pl.col("estimate") - pl.col("estimate_was")).abs()
        / ((pl.col("high") - pl.col("low")) / 2)
    ).filter(
        (pl.col("estimate").round(1).ne_missing(pl.col("estimate_was").round(1)))
        | (pl.col("support") != pl.col("support_was"))
    )
    ranked = moved.sort("size", descending=True, nulls_last=True, maintain_order=True)
    rows = [_row(row) for row in ranked.iter_rows(named=True)]
    frame = pl.DataFrame(rows, schema=SCHEMA)
    return frame.group_by("lifter_id", maintain_order=True).head(MOST_LINES).select(list(SCHEMA))


def _row(row: dict) -> dict[str, str]:
    subject = row["subject"].split(":", 1)[1].replace("_", " ")
    more = row["n"] - row["n_was"]
    why = f"{more:+d} {row['n_of']}".replace("-", "\u2212") if more else "a newer fit of the same"
    if row["support"] != row["support_was"]:
        why += f"; support was {row['support_was']}"
    return {
        "lifter_id": row["lifter_id"],
        "what": f"{subject}, {SHOWN_QUESTIONS[row['question']]}",
        "was": _say(row["estimate_was"], row["unit"]),
        "is_now": _say(row["estimate"], row["unit"]),
        "why": why,
    }


def _say(value: float | None, unit: str) -> str:
    if value is None:
        return "not enough"
    shown = f"{value:+.1f}" if unit.startswith("%") else f"{value:.1f}"
    return f"{shown} {unit}".replace("-", "\u2212")
