"""The group's means and its beds, as pictures."""

from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picks, Picture, Table
from dashboards.charts.beds import EDGED_ROW, BedsFrames, BedsLayout, draw_beds
from dashboards.charts.matrix import (
    MUSCLE,
)
from dashboards.charts.means import MeansWords, draw_means
from dashboards.charts.slopes import Rows, SlopeLayout, SlopeWords
from dashboards.numbers import count, interval, number_word, signed
from dashboards.prepare.group import GroupFrames
from dashboards.prepare.group_beds import NO_RANGE, PER_YEAR
from dashboards.prepare.lift_pictures import shorten, slope_keys
from dashboards.prepare.slopes import (
    REFUSED,
    least_visible,
    say_rate,
    say_refusal,
    say_slope,
    slope_axis,
)
from dashboards.theme.chart import ROW_NAME
from dashboards.theme.colours import INK3, TIERS, rock
from dashboards.told import told_plain


def means_picture(means: pl.DataFrame, frames: GroupFrames, muscle: str, table: Table) -> Picture:
    """The group's mean of each muscle, with every lifter's own slope."""
    own = (
        frames.answered.join(means.select("muscle_id", "r"), on="muscle_id")
        .select("r", pl.col("est").round(2))
        .sort("r")
    )
    wide_axis, narrow_axis = (
        slope_axis(left, width, _spread(means, own)) for left, width in ((130, 640), (110, 252))
    )
    height = means.height
    wide = SlopeLayout(
        Rows(1200, 34, 27, height, 26, "datum.r", 14), wide_axis, 18, (850, 1060, 1196)
    )
    narrow = SlopeLayout(Rows(366, 34, 42, height, 26, "datum.r", 28), narrow_axis, 14, None)
    answered = means.filter(pl.col("verdict") != REFUSED)
    visible = least_visible(answered)
    return Picture(
        name="means",
        title=words.plain("group.means_title"),
        caption=words.say("group.means_caption"),
        description=words.plain(
            "group.means_description", answered=answered.height, muscles=height
        ),
        wide=draw_means(_means_rows(means, False), own, wide, _words("head"), visible, muscle),
        narrow=draw_means(_means_rows(means, True), own, narrow, _words("short"), visible, muscle),
        keys=(*slope_keys(False, False), Key("tick", words.plain("group.key_own"), INK3)),
        table=table,
        picks=Picks(
            param=MUSCLE,
            label=words.plain("group.pick_label"),
            rows=tuple((row["muscle_id"], say_mean(row)) for row in means.iter_rows(named=True)),
            chosen=muscle,
            wide=(wide.rows.top, wide.rows.row),
            narrow=(narrow.rows.top, narrow.rows.row),
        ),
    )


def _spread(means: pl.DataFrame, own: pl.DataFrame) -> pl.DataFrame:
    """What the axis must hold: the means with their intervals and nearly all single slopes."""
    ends = [own["est"].quantile(share) for share in (0.02, 0.98)] if own.height else []
    single = pl.DataFrame({"est": ends}, schema={"est": pl.Float64})
    return pl.concat([means.select("est", "low", "high"), single], how="diagonal")


def _means_rows(means: pl.DataFrame, is_short: bool) -> pl.DataFrame:
    rows = []
    for row in means.iter_rows(named=True):
        said = dict.fromkeys(("number", "interval", "both", "reason"), "")
        if row["verdict"] == REFUSED:
            said["reason"] = words.plain("lifts.refused", reason=say_refusal(row, is_short))
        else:
            said["number"] = signed(row["est"])
            said["interval"] = interval(row["low"], row["high"])
            said["both"] = say_slope(row)
        said["n"] = count(row["n"])
        rows.append(said)
    columns = ("number", "interval", "both", "reason", "n")
    texts = pl.DataFrame(rows, schema=dict.fromkeys(columns, pl.String))
    numbers = [pl.col(name).round(2) for name in ("est", "low", "high")]
    said_support = pl.col("support").map_elements(told_plain, return_dtype=pl.String)
    shown = means.select(
        "r", "muscle_id", "name", *numbers, pl.lit(None).alias("then"), said_support, k="verdict"
    )
    return pl.concat([shown, texts], how="horizontal")


def _words(key: str) -> MeansWords:
    return MeansWords(
        mean=words.plain("group.head_mean"),
        lifters=words.plain("group.head_lifters"),
        support=words.plain("group.head_support"),
        axis=SlopeWords(words.plain(f"lifts.{key}_axis"), words.plain("lifts.head_small")),
    )


def say_mean(row: dict[str, Any]) -> str:
    """What one row of the means shows."""
    name = str(row["name"])
    if row["verdict"] == REFUSED:
        return words.plain("group.line_refused", name=name, reason=say_refusal(row))
    return words.plain("group.line", name=name, rate=say_rate(row), lifters=count(row["n"]))


def beds_picture(frames: GroupFrames, beds: pl.DataFrame, muscle: str, table: Table) -> Picture:
    """Weekly sets of the chosen muscle by training age, a bed each lifter."""
    drawn = frames.drawn.join(beds.select("i").unique(), on="i").sort("i")
    drawn = drawn.with_columns(r=pl.int_range(pl.len()))
    muscles = frames.muscles.select("m", "f", "muscle_id")
    placed = beds.join(drawn.select("i", "r"), on="i").join(muscles, on="m").sort("m", "r", "q")
    quarters = placed["q"].sort()
    first, last = quarters[0], quarters[-1]
    row = min(32.0, max(2.0, round(640 / max(drawn.height, 1))))
    step = PER_YEAR * (1 if last - first <= 60 else 5)
    marks = [q for q in range(first, last + 2) if q % step == 0]
    made = BedsFrames(
        beds=_side_by_side(placed),
        lifters=drawn.select("r", pl.col("label").alias("name")),
        ages=pl.DataFrame(
            {"q": marks, "label": [str(q // PER_YEAR) for q in marks]},
            schema={"q": pl.Int64, "label": pl.String},
        ),
        muscles=placed.group_by("muscle_id", "f").agg(most=pl.col("v").max()).sort("muscle_id"),
    )
    axis = words.plain("group.beds_axis")
    ends = (drawn.height, first, last + 1)
    wide, narrow = (
        BedsLayout(left, plot, right, row, ends[0], ends[1], ends[2], note)
        for left, plot, right, note in ((148, 1040, 12, 11), (96, 258, 12, 10))
    )
    # Widths are told for row names; notes of a phone are smaller.
    room = (narrow.left - 8) * ROW_NAME / narrow.note
    short = [shorten(label, "", room) for label in drawn["label"]]
    names = made.lifters.with_columns(name=pl.Series(short, dtype=pl.String))
    phone = BedsFrames(made.beds, names, made.ages, made.muscles)
    left_out = frames.lifters.height - frames.drawn.height
    only = words.say("group.beds_only", drawn=count(drawn.height)) if left_out else ""
    return Picture(
        name="beds",
        title=words.plain("group.beds_title"),
        caption=words.say("group.beds_caption", only=only),
        description=words.plain(
            "group.beds_description", lifters=number_word(drawn.height), years=count(last / 4)
        ),
        wide=draw_beds(made, wide, axis, muscle),
        narrow=draw_beds(phone, narrow, axis, muscle),
        keys=_bed_keys((beds["t"] == NO_RANGE).any() and row >= EDGED_ROW),
        table=table,
    )


def _bed_keys(has_dotted: bool) -> tuple[Key, ...]:
    """Tones of beds; where beds have edges, one without a range is told by its dotted edge."""
    tones = ("below", "inside", "above") if has_dotted else ("below", "within", "above")
    keys = [
        Key("swatch", words.plain(f"group.key_{text}"), rock("pulling", tier))
        for text, tier in zip(tones, TIERS, strict=True)
    ]
    if has_dotted:
        keys.append(Key("unknown", words.plain("group.key_unknown"), rock("pulling", "within")))
    return tuple(keys)


def _side_by_side(placed: pl.DataFrame) -> pl.DataFrame:
    """A row a quarter of a lifter, with sets and tone of every muscle in its two columns."""
    named = placed.rename({"v": "sets", "t": "tone"})
    return named.pivot("muscle_id", index=("r", "q"), values=("sets", "tone")).sort("r", "q")
