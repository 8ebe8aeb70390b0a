"""Rows of ranges for the page Volume and progress: by training age, and of all muscles."""

import polars as pl

from dashboards import words
from dashboards.charts.volume_ages import AgeFrames
from dashboards.charts.volume_summary import SummaryFrames
from dashboards.numbers import count
from dashboards.prepare.ticks import place_ticks
from dashboards.prepare.volume import (
    MuscleAnswer,
    Row,
    age_colours,
    none_better,
    say_age,
    say_range,
    say_reading,
    say_reason,
    say_recent,
    seen_up_to,
    summary_order,
    upper_end,
)
from dashboards.theme.colours import FAMILIES
from dashboards.told import told_plain


def age_frames(answers: list[MuscleAnswer], blocks: pl.DataFrame) -> AgeFrames:
    """Frames of the ranges by training age."""
    rows = [row for one in answers for row in _age_rows(one)]
    schema = {
        **dict.fromkeys(("muscle", "ages", "sub", "text"), pl.String),
        **dict.fromkeys(("i", "k", "open"), pl.Int64),
        **dict.fromkeys(("lo", "hi", "elo", "ehi", "seen", "best"), pl.Float64),
    }
    published = pl.DataFrame(
        [
            {"muscle": one.muscle_id, "lo": one.now["prior_low"], "hi": one.now["prior_high"]}
            for one in answers
            if one.now and one.now["prior_low"] is not None
        ],
        schema={"muscle": pl.String, "lo": pl.Float64, "hi": pl.Float64},
    )
    refused = pl.DataFrame(
        [{"muscle": one.muscle_id, "reason": say_reason(one)} for one in answers if not one.bands],
        schema={"muscle": pl.String, "reason": pl.String},
    )
    return AgeFrames(
        bands=pl.DataFrame(rows, schema=schema).with_columns(pl.col(pl.Float64).round(2)),
        ticks=blocks.select("muscle", "x", "k", i=pl.col("band") + 1),
        published=published.with_columns(pl.col(pl.Float64).round(2)),
        refused=refused,
        rows=max((len(one.bands) for one in answers), default=0),
    )


def _age_rows(answer: MuscleAnswer) -> list[Row]:
    tones = age_colours(len(answer.bands)) if answer.bands else []
    made = []
    for i, (row, tone) in enumerate(zip(answer.bands, tones, strict=True)):
        made.append(
            {
                "muscle": answer.muscle_id,
                "i": i + 1,
                "k": tone,
                "ages": words.plain("volume.age_years", ages=say_age(row)),
                "sub": words.plain("volume.age_blocks", blocks=count(row["n"])),
                "text": say_range(row),
                "open": int(row["range_high"] is None),
                "lo": row["range_low"],
                "hi": upper_end(row),
                "elo": row["edge_low"],
                "ehi": row["edge_high"],
                "seen": seen_up_to(row),
                "best": row["estimate"],
            }
        )
    return made


def summary_frames(answers: list[MuscleAnswer]) -> SummaryFrames:
    """Frames of all muscles, in the order of the summary."""
    ordered = summary_order(answers)
    texts = ("muscle", "name", "range", "recent", "support", "blocks", "reads", "short", "reason")
    schema = {
        **dict.fromkeys(texts, pl.String),
        **dict.fromkeys(("i", "f", "open", "same", "bold", "refused"), pl.Int64),
        **dict.fromkeys(("lo", "hi", "elo", "ehi", "seen", "mean", "plo", "phi"), pl.Float64),
    }
    all_same = none_better(answers)
    rows = [_summary_row(i, one, all_same) for i, one in enumerate(ordered)]
    frame = pl.DataFrame(rows, schema=schema).with_columns(pl.col(pl.Float64).round(2))
    ends = [*frame["hi"].drop_nulls(), *frame["mean"].drop_nulls(), *frame["phi"].drop_nulls(), 35]
    end = max(40.0, 5.0 * -(-max(ends) // 5))
    return SummaryFrames(frame, place_ticks(0, end, 4), end)


def _summary_row(i: int, answer: MuscleAnswer, all_same: bool) -> Row:
    row = answer.now
    common: Row = {
        "muscle": answer.muscle_id,
        "name": answer.name,
        "i": i,
        "f": FAMILIES.index(answer.family),
        "mean": answer.recent,
        "recent": say_recent(answer),
        "refused": int(row is None),
        "bold": int(answer.reading in ("past", "under")),
        "same": int(answer.is_no_better),
        "open": int(row is not None and row["range_high"] is None),
    }
    if row is None:
        reason = say_reason(answer)
        return {**common, "reason": reason, "short": words.plain("frame.not_enough")}
    values = {
        "range": say_range(row),
        "recent": say_recent(answer),
        "support": told_plain(row["support"]),
    }
    return {
        **common,
        **values,
        "blocks": count(row["n"]),
        "reads": say_reading(answer, all_same),
        "short": words.plain("volume.short", **values),
        "lo": row["range_low"],
        "hi": upper_end(row),
        "elo": row["edge_low"],
        "ehi": row["edge_high"],
        "seen": seen_up_to(row),
        "plo": row["prior_low"],
        "phi": row["prior_high"],
    }
