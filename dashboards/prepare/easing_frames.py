"""Frames of layoffs and of each deload in its year, for the page Easing off."""

from datetime import date

import polars as pl

from dashboards import words
from dashboards.charts.deload_years import DeloadYearFrames
from dashboards.charts.layoffs import LayoffFrames
from dashboards.numbers import count, figure, interval, say_date, signed
from dashboards.prepare.easing import (
    EasingCounts,
    Row,
    deloads_read,
    is_answered,
    layoffs_read,
    tone_of,
)
from dashboards.prepare.horizon import year_marks
from dashboards.prepare.published import find_fact
from dashboards.prepare.ticks import place_ticks, value_ticks
from dashboards.theme.colours import INK2, role
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

# A published value stands this many weeks beside its place, so that it hides no layoff.
BESIDE = 0.12
# Weeks off of the published values; the facts' own words say the same.
PUBLISHED_LAYOFFS = (("layoff_bench_3_weeks", 3.0), ("layoff_loss_8_to_12_weeks", 10.0))


def layoff_frames(
    book: PageBook, lifter_id: str, counts: EasingCounts, finding: Row | None
) -> LayoffFrames:
    """Frames of strength on return against weeks off."""
    layoffs = layoffs_read(book, lifter_id, counts)
    longest = float(layoffs["weeks_off"].max() or 0)  # type: ignore[arg-type]
    end = max(5.0, longest + 1.0)
    tone = tone_of(finding["low"], finding["high"]) if finding else ""
    line = _loss_line(finding, longest, end)
    published = _published_layoffs(book, end)
    points = pl.DataFrame([_layoff_point(row) for row in layoffs.iter_rows(named=True)], _POINT)
    ends = [-2.0, 1.0]
    for frame in (points, line.filter(pl.col("seen") == 1), published):
        ends += [*frame["lo"].drop_nulls(), *frame["hi"].drop_nulls()]
    room = 0.07 * (max(ends) - min(ends))
    domain = round(min(ends) - room, 1), round(max(ends) + room, 1)
    low, high = domain
    inside = (pl.col("seen") == 1) | (
        pl.col("lo").is_between(low, high) & pl.col("hi").is_between(low, high)
    )
    return LayoffFrames(
        points=points,
        line=line.filter(inside),
        published=published,
        note=_line_note(line, finding, points, end),
        values=value_ticks(*domain, 6),
        places=place_ticks(0, end, 7),
        domain=domain,
        end=end,
        tone=tone or "ink2",
    )


# Of the picture's width, which the words at the line's end take.
NOTE_SHARE = 0.45
_POINT = {
    **dict.fromkeys(("x", "y", "lo", "hi"), pl.Float64),
    "tone": pl.String,
    "told": pl.Int64,
    "hover": pl.String,
}


def _layoff_point(row: Row) -> Row:
    hover = words.plain(
        "easing.hover_layoff",
        date=say_date(row["start"]),
        weeks=figure(row["weeks_off"]),
        change=signed(row["loss_pct"]),
        interval=interval(row["low"], row["high"]),
        note=f"; {row['note']}" if row["note"] else "",
    )
    return {
        "x": row["weeks_off"],
        "y": round(row["loss_pct"], 2),
        "lo": round(row["low"], 2),
        "hi": round(row["high"], 2),
        "tone": role(tone_of(row["low"], row["high"]) or "ink2"),
        "told": int(row["evidence"] != "rule"),
        "hover": hover,
    }


def _loss_line(finding: Row | None, longest: float, end: float) -> pl.DataFrame:
    """Loss for each week off, through zero; ``seen`` up to the longest layoff."""
    schema = dict.fromkeys(("x", "y", "lo", "hi"), pl.Float64)
    if not is_answered(finding):
        return pl.DataFrame(schema={**schema, "seen": pl.Int64})
    assert finding is not None
    places = [
        *(longest * i / 12 for i in range(13)),
        *(longest + (end - longest) * i / 6 for i in range(7)),
    ]
    rows = [
        (x, x * finding["estimate"], x * finding["low"], x * finding["high"], int(i <= 12))
        for i, x in enumerate(places)
    ]
    frame = pl.DataFrame(rows, schema={**schema, "seen": pl.Int64}, orient="row")
    return frame.with_columns(pl.col(pl.Float64).round(3))


def _line_note(
    line: pl.DataFrame, finding: Row | None, points: pl.DataFrame, end: float
) -> pl.DataFrame:
    """What the line stands on, over its band's end, or under it where a layoff stands in the way.

    x, y, label, up (1 over, 0 under).
    """
    schema = {"x": pl.Float64, "y": pl.Float64, "label": pl.String, "up": pl.Int64}
    seen = line.filter(pl.col("seen") == 1)
    if seen.is_empty() or finding is None:
        return pl.DataFrame(schema=schema)
    last = seen.row(seen.height - 1, named=True)
    label = words.plain(
        "easing.line_note", n=count(finding["n"]), change=signed(finding["estimate"])
    )
    near = points.filter(pl.col("x").is_between(last["x"] - NOTE_SHARE * end, last["x"]))
    over = (near["hi"] > last["hi"]).sum()
    under = (near["lo"] < last["lo"]).sum()
    up = int(over <= under)
    edge = last["hi"] if up else last["lo"]
    return pl.DataFrame([(last["x"], edge, label, up)], schema=schema, orient="row")


def _published_layoffs(book: PageBook, end: float) -> pl.DataFrame:
    """Published changes whose weeks off lie inside the picture: x, y, lo, hi, label."""
    rows = []
    for fact_id, weeks in PUBLISHED_LAYOFFS:
        fact = find_fact(book, fact_id)
        if fact is not None and weeks <= end:
            label = words.plain("easing.published_mark", status=told_plain(fact["status"]))
            rows.append((weeks + BESIDE, fact["value"], fact["low"], fact["high"], label))
    schema = {**dict.fromkeys(("x", "y", "lo", "hi"), pl.Float64), "label": pl.String}
    return pl.DataFrame(rows, schema=schema, orient="row")


def deload_year_frames(
    book: PageBook, lifter_id: str, counts: EasingCounts, first: date, weeks: int, every: int = 1
) -> DeloadYearFrames:
    """Frames of each deload at its date; ``every``: years between two that are named."""
    read = deloads_read(book, lifter_id)
    points = pl.DataFrame([_deload_point(row, first) for row in read.iter_rows(named=True)], _AT)
    unread = counts.deloads.filter(~pl.col("event_id").is_in(read["event_id"].implode()))
    off = counts.layoffs.select(
        w0=(pl.col("start") - first).dt.total_days() / 7,
        w1=((pl.col("start") - first).dt.total_days() + pl.col("days")) / 7,
    )
    ends = [-1.0, 1.0]
    if points.height:
        ends += [float(points["lo"].quantile(0.1) or 0), float(points["hi"].quantile(0.9) or 0)]
        ends += [float(points["y"].min() or 0), float(points["y"].max() or 0)]  # type: ignore[arg-type]
    domain = round(min(ends) - 0.2, 1), round(max(ends) + 0.5, 1)
    return DeloadYearFrames(
        points=points,
        unread=unread.select(w=(pl.col("start") - first).dt.total_days() / 7 + 0.5),
        layoffs=off.with_columns(pl.all().round(2)),
        years=year_marks(first, weeks, every).rename({"w": "v"}),
        values=value_ticks(*domain, 4),
        weeks=weeks,
        domain=domain,
    )


_AT = {"w": pl.Float64, **{name: kind for name, kind in _POINT.items() if name != "x"}}


def _deload_point(row: Row, first: date) -> Row:
    hover = words.plain(
        "easing.hover_deload",
        date=say_date(row["start"]),
        change=signed(row["effect_pct"]),
        interval=interval(row["low"], row["high"]),
        reads=words.plain(f"easing.reads_{row['reads'] or 'open'}"),
    )
    return {
        "w": round((row["start"] - first).days / 7 + 0.5, 2),
        "y": round(row["effect_pct"], 2),
        "lo": round(row["low"], 2),
        "hi": round(row["high"], 2),
        "tone": role(row["reads"]) if row["reads"] else INK2,
        "told": int(row["evidence"] != "rule"),
        "hover": hover,
    }
