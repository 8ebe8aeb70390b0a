"""Pictures of the page Lifts: all lifts as rows, and the chosen one in full."""

from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Controls, Key, Picks, Picture, Select, Table
from dashboards.charts.axes import text_width
from dashboards.charts.forest import (
    LIFT,
    LINE_COLOURS,
    ORDER,
    ForestFrames,
    ForestLayout,
    ForestWords,
    draw_forest,
    place_of,
)
from dashboards.charts.lanes import Lanes
from dashboards.charts.lift import LINES, draw_lift
from dashboards.charts.lift_layout import AroundFrames, LiftFrames, LiftLayout
from dashboards.charts.slopes import Rows, SlopeWords
from dashboards.numbers import capital, count, in_words, interval, signed
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.labels import place_labels
from dashboards.prepare.lift_levels import Calendar
from dashboards.prepare.lift_rows import NO_FAMILY, ORDERS, say_mass, say_row
from dashboards.prepare.record import say_family
from dashboards.prepare.slopes import (
    FALLING,
    REFUSED,
    RISING,
    is_cut,
    least_visible,
    say_refusal,
    say_slope,
    slope_axis,
)
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, LOSS, LOSS_BAND, PRIOR, PROGRESS
from pipeline.core.page_book import LifterInfo

NAME_ROOM = 196


def forest_picture(
    lifter: LifterInfo,
    rows: pl.DataFrame,
    lines: pl.DataFrame,
    calendar: Calendar,
    published: float | None,
    chosen: str,
    table: Table,
) -> Picture:
    """All lifts: level over the record, slope then and now; a row chooses the lift."""
    answered = rows.filter(pl.col("verdict") != REFUSED)
    visible = least_visible(answered)
    wide, narrow = (_layout(rows, calendar, is_wide) for is_wide in (True, False))
    has_then = rows["then"].is_not_null().any()
    told = {
        "filled": answered.height > 0,
        "open": has_then,
        "tinted": visible > 0,
        "row": True,
        "cut": is_cut(rows, wide.axis),
    }
    caption = [words.say(f"lifts.forest_{key}") for key, holds in told.items() if holds]
    return Picture(
        name="forest",
        title=capital(in_words(rows.height, "lift")),
        caption=Markup(" ").join(caption),
        description=words.plain(
            "lifts.forest_description",
            lifts=rows.height,
            rising=answered.filter(pl.col("verdict") == RISING).height,
            falling=answered.filter(pl.col("verdict") == FALLING).height,
            refused=rows.height - answered.height,
        ),
        wide=draw_forest(
            _frames(lifter, rows, lines, calendar, True), wide, _words(), visible, published, chosen
        ),
        narrow=draw_forest(
            _frames(lifter, rows, lines, calendar, False),
            narrow,
            _words(is_narrow=True),
            visible,
            published,
            chosen,
        ),
        keys=(*slope_keys(published is not None, has_then), *_family_keys(rows)),
        table=table,
        is_main=True,
        picks=_picks(lifter, rows, chosen, wide.rows, narrow.rows),
    )


def _picks(lifter: LifterInfo, rows: pl.DataFrame, chosen: str, wide: Rows, narrow: Rows) -> Picks:
    ordered = list(rows.sort("by_slope").iter_rows(named=True))
    return Picks(
        param=LIFT,
        label=words.plain("lifts.pick_label"),
        rows=tuple((str(row["e"]), say_row(row, lifter.unit)) for row in ordered),
        chosen=chosen,
        wide=(wide.top, wide.row),
        narrow=(narrow.top, narrow.row),
        order=ORDER,
        places=tuple({order: row[f"by_{order}"] for order in ORDERS} for row in ordered),
    )


def slope_keys(has_published: bool, has_then: bool) -> tuple[Key, ...]:
    """The legend of slopes: colours only where an interval excludes zero."""
    keys = [
        Key("estimate", words.plain("lifts.key_rising"), PROGRESS),
        Key("estimate", words.plain("lifts.key_falling"), LOSS),
        Key("estimate", words.plain("lifts.key_either"), INK2),
    ]
    if has_then:
        keys.append(Key("ring", words.plain("lifts.key_then"), INK2))
    if has_published:
        keys.append(Key("dash", words.plain("lifts.key_published"), PRIOR))
    keys.append(Key("dotted", words.plain("lifts.key_refused"), INK3))
    return tuple(keys)


def _family_keys(rows: pl.DataFrame) -> tuple[Key, ...]:
    """Whose colour the small line of a lift's level has."""
    known = rows.filter(pl.col("f") < NO_FAMILY)["f"].unique().sort()
    return tuple(Key("line", say_family(FAMILIES[f]), LINE_COLOURS[f]) for f in known)


def _layout(rows: pl.DataFrame, calendar: Calendar, is_wide: bool) -> ForestLayout:
    if is_wide:
        placed = Rows(1200, 34, 28, rows.height, 40, place_of(), 14)
        axis = slope_axis(526, 366, rows)
        return ForestLayout(
            placed, axis, (206, 284, 20, 4), 18, 12, (960, 1118, 1196), calendar.weeks
        )
    placed = Rows(366, 34, 46, rows.height, 40, place_of(), 30)
    axis = slope_axis(134, 228, rows)
    return ForestLayout(placed, axis, (4, 112, 18, 20), 14, 12, None, calendar.weeks)


def _words(is_narrow: bool = False) -> ForestWords:
    key = "short" if is_narrow else "head"
    return ForestWords(
        line=words.plain(f"lifts.{key}_line"),
        number=words.plain("lifts.head_number"),
        weeks=words.plain("lifts.head_weeks"),
        level=words.plain("lifts.head_level"),
        axis=SlopeWords(
            words.plain(f"lifts.{key}_axis"),
            words.plain("lifts.head_small"),
            words.plain("lifts.head_published"),
        ),
    )


def _frames(
    lifter: LifterInfo, rows: pl.DataFrame, lines: pl.DataFrame, calendar: Calendar, is_wide: bool
) -> ForestFrames:
    texts = [_texts(row, lifter.unit, is_wide) for row in rows.sort("e").iter_rows(named=True)]
    columns = ("name", "number", "interval", "weeks", "level", "both", "reason")
    places = [f"by_{order}" for order in ORDERS]
    numbers = [pl.col(name).round(2) for name in ("est", "low", "high", "then")]
    shown = rows.sort("e").select("e", *places, *numbers, k="verdict")
    said = pl.DataFrame(texts, schema=dict.fromkeys(columns, pl.String))
    years = calendar.weeks / 52
    every = 1 if years <= 7 else 2 if years <= 16 else 5
    if not is_wide:
        every = 2 if years <= 5 else 5 if years <= 25 else 10
    return ForestFrames(
        rows=pl.concat([shown, said], how="horizontal"),
        lines=lines,
        years=year_marks(calendar.first, calendar.weeks, every),
    )


def _texts(row: dict[str, Any], unit: str, is_wide: bool) -> dict[str, str]:
    """Name and columns of one row, as they are written in the drawing."""
    name, done = str(row["name"]), row["done"]
    note = words.plain("lifts.until", year=done.year) if row["is_past"] else ""
    level = "" if row["level"] is None else f"{say_mass(row['level'], unit)} {unit}"
    made = dict.fromkeys(("number", "interval", "both", "reason"), "")
    if row["verdict"] == REFUSED:
        made["reason"] = words.plain("lifts.refused", reason=say_refusal(row, is_short=not is_wide))
        taken = made["reason"]
    else:
        made["number"] = signed(row["est"])
        made["interval"] = interval(row["low"], row["high"])
        made["both"] = taken = say_slope(row)
    room = NAME_ROOM if is_wide else 356 - text_width(taken)
    weeks = count(row["n"])
    return {"name": shorten(name, note, room), "weeks": weeks, "level": level, **made}


def shorten(name: str, note: str, room: float) -> str:
    """The name with its note, cut with an ellipsis where it has no room (px)."""
    if text_width(name + note, 12) <= room:
        return name + note
    while name and text_width(f"{name}…{note}", 12) > room:
        name = name[:-1]
    return f"{name.rstrip()}…{note}"


def forest_control() -> Controls:
    """In which order the rows stand."""
    options = tuple((order, words.plain(f"lifts.order_{order}")) for order in ORDERS)
    return Controls((Select(ORDER, words.plain("lifts.control_order"), options, "slope"),))


def lift_control(rows: pl.DataFrame, chosen: str) -> Controls:
    """Which lift is shown in full."""
    named = rows.filter(pl.col("level").is_not_null() | (pl.col("verdict") != REFUSED))
    options = tuple((str(e), name) for e, name in named.sort("by_name").select("e", "name").rows())
    return Controls((Select(LIFT, words.plain("lifts.control_lift"), options, chosen),))


def lift_picture(
    frames: LiftFrames,
    lanes: Lanes,
    calendar: Calendar,
    chosen: str,
    table: Table,
) -> Picture:
    """The chosen lift over the whole record."""
    wide = LiftLayout(46, 1030, 124, 32, 316, calendar.weeks, 11, True)
    narrow = LiftLayout(34, 324, 8, 32, 250, calendar.weeks, 10, False)
    plateau = words.plain("lifts.plateau")
    years = calendar.weeks / 52
    drawn = [
        draw_lift(frames, _around(lanes, calendar, layout, every), layout, chosen, plateau)
        for layout, every in ((wide, 1 if years <= 25 else 2), (narrow, _every(years)))
    ]
    return Picture(
        name="lift",
        title=words.plain("lifts.lift_title"),
        caption=words.say("lifts.lift_caption"),
        description=words.plain("lifts.lift_description", lifts=frames.now.height),
        wide=drawn[0],
        narrow=drawn[1],
        keys=(*_level_keys(frames.now), *_lift_keys(lanes)),
        table=table,
    )


def _every(years: float) -> int:
    return 1 if years <= 6 else 2 if years <= 14 else 5


def _around(lanes: Lanes, calendar: Calendar, layout: LiftLayout, every: int) -> AroundFrames:
    px = layout.plot / calendar.weeks
    return AroundFrames(
        injury=lanes.injury.select("w0", "w1"),
        injury_names=place_labels(lanes.injury, px, layout.plot, layout.note),
        layoffs=lanes.cuts,
        lines=lanes.lines,
        years=year_marks(calendar.first, calendar.weeks, every),
    )


def _level_keys(now: pl.DataFrame) -> tuple[Key, ...]:
    """Line and band in the colour that the chosen lift has: one key a colour."""
    by_colour: dict[str, list[str]] = {}
    for e, verdict in now.select("e", "k").sort("e").iter_rows():
        by_colour.setdefault(LINES[verdict], []).append(str(e))
    text = words.plain("lifts.key_level")
    return tuple(
        Key("band", text, colour, when=f"{LIFT}:{','.join(lifts)}")
        for colour, lifts in by_colour.items()
    )


def _lift_keys(lanes: Lanes) -> tuple[Key, ...]:
    keys = [
        Key("dash", words.plain("lifts.key_rest"), INK),
        Key("dot", words.plain("lifts.key_best"), INK3),
        Key("bar", words.plain("lifts.key_plateau"), INK),
    ]
    if lanes.injury.height:
        keys.append(Key("swatch", words.plain("lifts.key_injury"), LOSS_BAND))
    if lanes.cuts.height:
        keys.append(Key("swatch", words.plain("lifts.key_layoff"), "var(--wash)"))
    if lanes.lines.height:
        keys.append(Key("rule", words.plain("lifts.key_gym"), INK))
    return tuple(keys)
