"""Pictures of the page The record, each drawn wide and narrow, with its words."""

import polars as pl

from dashboards import words
from dashboards.blocks import Controls, Key, Picture, Select, SpanAxis
from dashboards.charts.begin import TOP as BEGIN_TOP
from dashboards.charts.begin import BeginFrames, BeginLayout, draw_begin
from dashboards.charts.core import CoreFrames, CoreLayout, draw_core
from dashboards.charts.lanes import Lanes
from dashboards.charts.overview import draw_overview
from dashboards.charts.span import draw_span
from dashboards.charts.strips import HIGHEST_ROWS, StripLayout
from dashboards.frame import OPENING_SPAN_WEEKS
from dashboards.numbers import amount
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.missing import Missing
from dashboards.prepare.record import (
    body_weight,
    overview_frames,
    overview_layout,
    row_sets,
    say_family,
    scale_bar,
    span_frames,
    span_layouts,
)
from dashboards.prepare.record_tables import muscle_table
from dashboards.prepare.sources import week_lines
from dashboards.prepare.strips import NO_UPPER_EDGE, StripFrames
from dashboards.theme.colours import FAMILIES, INK, INK2, INK3, LOSS, rock
from pipeline.core.page_book import LifterInfo, PageBook


def overview_picture(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, lanes: Lanes
) -> Picture:
    """The whole record: strips on a wide page, the drill core on a phone."""
    has_weight = body_weight(book, lifter.lifter_id, strips).height > 0
    layout = overview_layout(strips, has_weight)
    frames = overview_frames(book, lifter.lifter_id, strips, lanes, layout)
    scale = scale_bar(layout.row_sets)
    core = CoreLayout(strips.count, strips.muscles.height, layout.families, layout.row_sets)
    upright = CoreFrames(
        strips.bins,
        strips.muscles.select("m", "f", "name"),
        lanes,
        year_marks(strips.first, strips.count),
    )
    return Picture(
        name="overview",
        title=words.plain("record.title"),
        caption=words.say("record.caption"),
        description=_describe(strips, "record.description"),
        wide=draw_overview(frames, layout, scale),
        narrow=draw_core(upright, core),
        keys=strip_keys(
            strips, lanes, scale, 0.9 * core.track * scale / core.row_sets, strips.weeks
        ),
        table=muscle_table(book, lifter.lifter_id, strips),
        is_main=True,
        span_axis=SpanAxis(
            layout.left, layout.plot, 1200, layout.strips_end + 4, 14, layout.height
        ),
        hover=_hover(book, lifter, strips, "strips", layout, core),
        narrow_caption=words.say("record.core_caption"),
    )


def span_picture(book: PageBook, lifter: LifterInfo, strips: StripFrames, lanes: Lanes) -> Picture:
    """The chosen span, week by week."""
    wide, narrow = span_layouts(strips)
    frames = span_frames(strips, lanes)
    opening = (max(0, strips.count - OPENING_SPAN_WEEKS), strips.count)
    has_range = strips.muscles["low"].is_not_null().any()
    range_head = words.plain("record.span_range") if has_range else ""
    heads = (range_head, words.plain("record.span_total"))
    short = ("", words.plain("record.span_total_short"))
    return Picture(
        name="span",
        title=words.plain("record.span_title", span="{span}"),
        caption=words.say("record.span_caption"),
        description=_describe(strips, "record.span_description"),
        wide=draw_span(frames, wide, opening, heads),
        narrow=draw_span(frames, narrow, opening, short),
        show_title_of_span=True,
        hover=_hover(book, lifter, strips, "span", wide, narrow),
    )


def span_control(strips: StripFrames) -> Controls:
    """The span as a choice: the last two years, the last, or a calendar year of the record."""
    recent, last = (
        f"{max(0, strips.count - weeks)} {strips.count}" for weeks in (OPENING_SPAN_WEEKS, 52)
    )
    options = [
        (recent, words.plain("record.span_recent")),
        (last, words.plain("record.span_last")),
    ]
    starts = [0.0, *year_marks(strips.first, strips.count)["w"].to_list(), float(strips.count)]
    for i in range(len(starts) - 2, -1, -1):
        year = strips.first.year + i
        options.append((f"{round(starts[i])} {round(starts[i + 1])}", str(year)))
    select = Select("span", words.plain("record.span_control"), tuple(options), recent)
    return Controls((select,))


def strip_keys(
    strips: StripFrames, lanes: Lanes, scale: int, lying: float, weeks: pl.DataFrame
) -> tuple[Key, ...]:
    """The legend: only marks that this record has; slate stands for all four families, whose
    colours follow with their names: they hold in the strip at the top of every page as well.

    ``scale``: sets of the scale bar; ``lying``: its length in px where it lies down; ``weeks``: the
    steps that are drawn, some of which may be cut.
    """
    highest = HIGHEST_ROWS * row_sets(strips.weeks)
    is_cut = (weeks["v"] > 10 * highest).any()
    notch = Key("notch", words.plain("record.key_notch", sets=amount(highest)), INK2)
    has_range = strips.muscles["low"].is_not_null().any()
    tiers = ("below", "within", "above") if has_range else ()
    events = (
        ("cut", "layoff", INK3, lanes.cuts),
        ("hatch", "unlogged", INK3, lanes.unlogged),
        ("underline", "priority", INK, lanes.priority),
        ("tick", "deload", INK2, lanes.deloads),
        ("bar", "injury", LOSS, lanes.injury),
    )
    size = words.plain("record.key_scale", sets=scale)
    return (
        *(Key("swatch", words.plain(f"record.key_{t}"), rock("pulling", t)) for t in tiers),
        *(Key(mark, words.plain(f"record.key_{n}"), ink) for mark, n, ink, f in events if f.height),
        Key("scale", size, INK, "wide"),
        Key("length", size, INK, "narrow", round(lying, 1)),
        *((notch,) if is_cut else ()),
        *(
            Key("swatch", say_family(FAMILIES[f]), rock(FAMILIES[f], "within"))
            for f in strips.muscles["f"].unique().sort()
        ),
    )


def begin_picture(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, missing: list[Missing]
) -> Picture:
    """A young record, with the weeks from which questions can be answered."""
    marks = _begin_marks(missing, strips.count)
    # Few weeks have room for the highest of them.
    sets_high = max(row_sets(strips.weeks), float(strips.weeks["v"].max()) / 10)  # type: ignore[arg-type]
    axis = 52 if not marks.height else max(52, int(marks["w"].max()) + 4)  # type: ignore[arg-type]
    rows = strips.muscles.height
    wide = BeginLayout(1200, 92, 1100, 26, rows, axis, strips.count, sets_high, 11)
    narrow = BeginLayout(366, 76, 282, 22, rows, axis, strips.count, sets_high, 10)
    ends = sorted({strips.count, axis, *(int(w) for w in marks["w"])})
    # The beginning is named only where today's number leaves it room.
    ends = [0, *ends] if strips.count / axis > 0.12 else ends
    frames = BeginFrames(
        strips.weeks.select("m", "f", "s", "w", "v", "c"),
        strips.muscles.select("m", "name"),
        marks,
        pl.DataFrame({"w": ends, "label": [_week_label(w) for w in ends]}),
    )
    today = words.plain("record.begin_today", weeks=strips.count)
    return Picture(
        name="begin",
        title=words.plain("record.begin_title"),
        caption=words.say("record.begin_caption"),
        description=_describe(strips, "record.begin_description"),
        wide=draw_begin(frames, wide, today),
        narrow=draw_begin(frames, narrow, today),
        table=muscle_table(book, lifter.lifter_id, strips),
        is_main=True,
    )


def _week_label(week: int) -> str:
    return str(week) if week else words.plain("record.begin_week")


def _begin_marks(missing: list[Missing], weeks: int) -> pl.DataFrame:
    """Dashed lines, each name a step lower than the one before, so that none overlap."""
    found = sorted((one.weeks_more, one.question) for one in missing if one.weeks_more)
    rows = [
        {
            "w": weeks + more,
            "label": words.plain(
                "record.begin_mark", question=words.plain(f"record.mark_{question}")
            ),
            "y": float(BEGIN_TOP - 16 - 12 * (i % 2)),
        }
        for i, (more, question) in enumerate(found)
        if words.has(f"record.mark_{question}")
    ]
    schema = {"w": pl.Int64, "label": pl.String, "y": pl.Float64}
    return pl.DataFrame(rows, schema=schema)


def _describe(strips: StripFrames, key: str) -> str:
    return words.plain(key, muscles=strips.muscles.height, weeks=strips.count)


def _hover(
    book: PageBook,
    lifter: LifterInfo,
    strips: StripFrames,
    kind: str,
    wide: StripLayout,
    narrow: StripLayout | CoreLayout,
) -> dict[str, object]:
    """What the pointer reads over strips: where rows and weeks lie, names, and source lines."""
    if strips.weeks.is_empty():
        return {}
    files, lines = week_lines(book, lifter.lifter_id, strips.first)
    return {
        "kind": kind,
        "columns": ["m", "w", "v", "c", "d"],
        "names": strips.muscles["name"].to_list(),
        "families": strips.muscles["f"].to_list(),
        "none": NO_UPPER_EDGE,
        "files": files,
        "lines": lines,
        "wide": _geometry(wide),
        "narrow": _geometry(narrow),
    }


def _geometry(layout: StripLayout | CoreLayout) -> dict[str, object]:
    if isinstance(layout, CoreLayout):
        return layout.geometry()
    return {
        "left": layout.left,
        "plot": layout.plot,
        "top": layout.top,
        "row": layout.row,
        "gap": layout.gap,
    }
