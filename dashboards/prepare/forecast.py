"""What comes next, and gain against training age: of the lifts of one lifter."""

from math import log
from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Fold, Key, Picture, Prose, Table
from dashboards.charts.growth_law import GrowthFrames, draw_growth
from dashboards.numbers import amount, count, figure, interval, say_date, signed
from dashboards.prepare.lift_rows import say_mass
from dashboards.prepare.lift_tables import heads
from dashboards.prepare.published import find_fact
from dashboards.prepare.ticks import value_ticks
from dashboards.theme.colours import INK, PRIOR, RULE
from dashboards.told import told, told_plain
from pipeline.core.page_book import LifterInfo, PageBook

FIRST_YEAR = "strength_gain_year_1"
AGE_TICKS = (0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 30.0, 50.0)
LEAST_APART = 0.08  # of the axis, between two ages that are named
ROOM = 6.0  # % beyond the lines; wider intervals are cut at the picture's edge


def lift_forecasts(book: PageBook, lifter_id: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Answered forecasts of the lifts, by name: id, name, word, e and the finding's columns."""
    ahead = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == "forecast")
        & (pl.col("support") != "not enough")
    )
    ahead = ahead.with_columns(id=pl.col("subject").str.strip_prefix("lift:"))
    return ahead.join(rows.select("id", "name", "word", "e", "by_name"), on="id").sort("by_name")


def say_forecast(row: dict[str, Any], unit: str) -> Markup:
    """The forecast of one lift in a sentence, in the lifter's unit."""
    is_published = row["estimate"] == row["prior_estimate"]
    return words.say(
        "lifts.forecast_published" if is_published else "lifts.forecast",
        level=_say_ends(row, ("estimate", "low", "high"), unit),
        day=say_date(row["to_date"]),
        published=_say_ends(row, ("prior_estimate", "prior_low", "prior_high"), unit),
        coverage=count(100 * row["coverage"]),
        support=told_plain(row["support"]),
    )


def _say_ends(row: dict[str, Any], columns: tuple[str, str, str], unit: str) -> str:
    value, low, high = (say_mass(row[name], unit) for name in columns)
    return words.plain("lifts.forecast_level", value=value, low=low, high=high, unit=unit)


def forecast_blocks(
    forecasts: pl.DataFrame, rows: pl.DataFrame, lifter: LifterInfo
) -> tuple[Prose, Fold]:
    """How it was told in a sentence, and every lift a year on in a fold."""
    title = words.plain("lifts.forecast_fold", n=forecasts.height)
    return (
        Prose((words.say("lifts.forecast_note"),), words.plain("lifts.forecast_title")),
        Fold(title, (_forecast_table(forecasts, rows, lifter),)),
    )


def _forecast_table(forecasts: pl.DataFrame, rows: pl.DataFrame, lifter: LifterInfo) -> Table:
    """Every lift a year on, beside its level now and the published drift."""
    now = dict(rows.select("id", "level").iter_rows())
    made = tuple(
        (
            row["name"],
            "" if now.get(row["id"]) is None else say_mass(now[row["id"]], lifter.unit),
            say_mass(row["estimate"], lifter.unit),
            words.plain(
                "lifts.between",
                low=say_mass(row["low"], lifter.unit),
                high=say_mass(row["high"], lifter.unit),
            ),
            say_mass(row["prior_estimate"], lifter.unit),
            say_date(row["to_date"]),
            told(row["support"]),
        )
        for row in forecasts.iter_rows(named=True)
    )
    keys = ("lift", "unchanged", "ahead", "interval_80", "by_published", "by_day", "support")
    columns = heads(*keys, numbers=("unchanged", "ahead", "by_published"), unit=lifter.unit)
    return Table(columns, made)


def growth_rows(book: PageBook, lifter_id: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Gains of the lifts beside the law's: table ``model_growth`` with e, name and by_name."""
    grown = book.tables["model_growth"].filter(pl.col("lifter_id") == lifter_id)
    grown = grown.with_columns(id=pl.col("subject").str.strip_prefix("lift:"))
    return grown.join(rows.select("id", "e", "name", "by_name"), on="id").sort(
        "by_name", "training_age_years"
    )


def growth_picture(
    book: PageBook, grown: pl.DataFrame, with_level: pl.DataFrame, chosen: str
) -> Picture | None:
    """Gain of the chosen lift beside the law; None where no lift has two years of record."""
    fact = find_fact(book, FIRST_YEAR)
    if grown.is_empty() or fact is None:
        return None
    frames = _frames(grown, with_level)
    said = (words.plain("lifts.growth_y"), words.plain("lifts.growth_x"))
    wide, narrow = (draw_growth(frames, said, chosen, is_wide) for is_wide in (True, False))
    published = {key: figure(fact[key]) for key in ("value", "low", "high")}
    return Picture(
        name="growth",
        title=words.plain("lifts.growth_title"),
        caption=words.say(
            "lifts.growth_caption",
            source=fact["source"],
            status=told_plain(fact["status"]),
            **published,
        ),
        description=words.plain("lifts.growth_description", lifts=grown["e"].n_unique()),
        wide=wide,
        narrow=narrow,
        keys=(
            Key("line", words.plain("lifts.key_gain"), INK),
            Key("swatch", words.plain("lifts.key_gain_band"), RULE),
            Key("dash", words.plain("lifts.key_law"), PRIOR),
            Key("dotted", words.plain("lifts.key_law_ends", **published), PRIOR),
        ),
        table=_growth_table(grown),
    )


def _frames(grown: pl.DataFrame, with_level: pl.DataFrame) -> GrowthFrames:
    shown = grown.select(
        "e",
        x=pl.col("training_age_years").clip(lower_bound=0.05).log().round(3),
        y=pl.col("gain_pct").round(1),
        lo=pl.col("low_pct").round(1),
        hi=pl.col("high_pct").round(1),
        law=pl.col("law_pct").round(1),
        law_lo=pl.col("law_low_pct").round(1),
        law_hi=pl.col("law_high_pct").round(1),
        hover=pl.Series([_hover(row) for row in grown.iter_rows(named=True)], dtype=pl.String),
    )
    without = with_level.filter(~pl.col("e").is_in(grown["e"].unique().implode()))
    refused = without.select("e", reason=pl.lit(words.plain("lifts.growth_refused")))
    lines = shown.select("y", "law_lo", "law_hi").to_numpy()
    low, high = min(float(lines.min()), 0.0) - ROOM, max(float(lines.max()), 0.0) + ROOM
    shown = shown.with_columns(pl.col("lo", "hi").clip(round(low, 1), round(high, 1)))
    first, last = (float(end) for end in (shown["x"].min(), shown["x"].max()))  # type: ignore[arg-type]
    last = max(last, first + 0.1)
    return GrowthFrames(
        rows=shown,
        refused=refused,
        years=_age_ticks(first, last),
        values=value_ticks(low, high),
        ages=(first - 0.03 * (last - first), last + 0.03 * (last - first)),
        domain=(low, high),
    )


def _age_ticks(first: float, last: float) -> pl.DataFrame:
    """Round ages on the axis (ends in logs), none too near the one before."""
    ages: list[float] = []
    for age in AGE_TICKS:
        is_inside = first - 1e-6 <= log(age) <= last + 1e-6
        if is_inside and (not ages or log(age / ages[-1]) >= LEAST_APART * (last - first)):
            ages.append(age)
    return pl.DataFrame(
        {"v": [log(age) for age in ages], "label": [figure(age) for age in ages]},
        schema={"v": pl.Float64, "label": pl.String},
    )


def _hover(row: dict[str, Any]) -> str:
    return words.plain(
        "lifts.growth_hover",
        age=amount(row["training_age_years"]),
        gain=signed(row["gain_pct"]),
        ends=interval(row["low_pct"], row["high_pct"]),
        law=signed(row["law_pct"]),
    )


def _growth_table(grown: pl.DataFrame) -> Table:
    """Own gain and the law's, lift by lift, training year by training year."""
    made = tuple(
        (
            row["name"],
            amount(row["training_age_years"]),
            signed(row["gain_pct"]),
            interval(row["low_pct"], row["high_pct"]),
            signed(row["law_pct"]),
            interval(row["law_low_pct"], row["law_high_pct"]),
        )
        for row in grown.iter_rows(named=True)
    )
    keys = ("lift", "age", "gain", "interval_90", "law", "law_ends")
    columns = heads(*keys, numbers=("age", "gain", "law"))
    return Table(columns, made, words.plain("lifts.growth_table"))
