"""Pictures of the page Nights and sessions, each drawn wide and narrow, with its words."""

from datetime import date

import polars as pl

from dashboards import words
from dashboards.blocks import Key, Picture, Text
from dashboards.charts.signal_forest import (
    SignalForestWords,
    draw_signal_forest,
)
from dashboards.charts.signal_levels import SignalLevelLayout, draw_signal_levels
from dashboards.charts.slopes import REFUSED, Rows, SlopeAxis, SlopeLayout
from dashboards.frame import LifterWeeks
from dashboards.numbers import count, signed
from dashboards.prepare.nights import SignalRow
from dashboards.prepare.nights_levels import level_frames
from dashboards.prepare.nights_tables import level_table, say_interval, signal_table
from dashboards.prepare.ticks import round_values
from dashboards.theme.colours import INK, INK2, INK3, LOSS, PROGRESS
from dashboards.told import told_plain
from pipeline.core.page_book import PageBook

LEAST_AXIS = 0.5
_SCHEMA = {
    "i": pl.Int64,
    **dict.fromkeys(("name", "when", "full"), pl.String),
    **dict.fromkeys(("est", "low", "high", "then"), pl.Float64),
    "k": pl.Int64,
    **dict.fromkeys(("number", "interval", "both", "sessions", "support", "reason"), pl.String),
}


def forest_picture(
    book: PageBook, lifter_id: str, signals: list[SignalRow], answer: Text
) -> Picture:
    """All tests as rows: what strength went with one usual swing of the signal."""
    frame = pl.DataFrame([_row(at, one) for at, one in enumerate(signals)], schema=_SCHEMA)
    text = SignalForestWords(
        *(words.plain(f"nights.head_{key}") for key in ("number", "sessions", "support", "axis"))
    )
    tones = {one.tone for one in signals}
    keys = (
        (Key("estimate", words.plain("nights.key_higher"), PROGRESS), "progress" in tones),
        (Key("estimate", words.plain("nights.key_lower"), LOSS), "loss" in tones),
        (Key("estimate", words.plain("nights.key_grey"), INK2), "" in tones),
        (Key("dotted", words.plain("nights.key_refused"), INK3), _has_refused(frame)),
    )
    return Picture(
        name="signals",
        title=words.plain("nights.forest_title"),
        caption=words.say("nights.forest_caption"),
        description=words.plain("nights.forest_description", n=len(signals), answer=_plain(answer)),
        wide=draw_signal_forest(frame, _layout(frame, is_wide=True), text),
        narrow=draw_signal_forest(_shorten(frame), _layout(frame, is_wide=False), text),
        keys=tuple(key for key, is_shown in keys if is_shown),
        table=signal_table(book, lifter_id, signals),
        is_main=True,
    )


def _shorten(frame: pl.DataFrame) -> pl.DataFrame:
    """A phone has room for the word only; the reason stands in the table and in the fold."""
    short = pl.lit(words.plain("nights.reason_short"))
    return frame.with_columns(reason=pl.when(pl.col("reason").is_not_null()).then(short))


def _plain(text: Text) -> str:
    return text.striptags() if hasattr(text, "striptags") else str(text)


def _has_refused(frame: pl.DataFrame) -> bool:
    return bool((frame["k"] == REFUSED).any())


def _row(at: int, one: SignalRow) -> dict[str, object]:
    swing = one.swing
    finding = one.finding
    named = {
        "i": at,
        "name": one.name,
        "when": one.when,
        "full": one.full_name,
        "then": None,
        "support": one.support,
    }
    if swing is None:
        reason = words.plain("nights.reason", why=told_plain(finding["support_why"]))
        return {**named, "k": REFUSED, "reason": reason}
    number = signed(finding["estimate"], 2)
    ends = say_interval(finding)
    return {
        **named,
        **dict(zip(("est", "low", "high"), (round(value, 3) for value in swing), strict=True)),
        "k": {"progress": 0, "loss": 1, "": 3}[one.tone],
        "number": number,
        "interval": words.plain("nights.in_unit", interval=ends, unit=one.unit),
        # A phone has room for the short form beside the name.
        "both": words.plain(
            "nights.both", number=number, interval=ends, unit=told_plain(finding["unit"])
        ),
        "sessions": count(finding["n"]),
    }


def _layout(frame: pl.DataFrame, is_wide: bool) -> SlopeLayout:
    """Rows of 28 px with columns at the right; on a phone 44 px, the words above the mark."""
    ends = [*frame["low"].drop_nulls(), *frame["high"].drop_nulls(), -LEAST_AXIS, LEAST_AXIS]
    reach = 1.05 * max(abs(end) for end in ends)
    ticks = tuple(round_values(-reach, reach, 7 if is_wide else 5))
    if is_wide:
        rows = Rows(1200, 40, 28, frame.height, 24, "datum.i", 14)
        return SlopeLayout(rows, SlopeAxis(290, 460, -reach, reach, ticks), 18, (836, 1060, 1192))
    rows = Rows(366, 40, 46, frame.height, 24, "datum.i", 34)
    return SlopeLayout(rows, SlopeAxis(8, 350, -reach, reach, ticks), 16, None)


def level_picture(
    book: PageBook, lifter_id: str, readings: pl.DataFrame, calendar: LifterWeeks
) -> Picture:
    """Every signal over the years, with changes of device."""
    first: date = calendar.first
    drawn = []
    for is_wide in (True, False):
        years = calendar.weeks / 52
        every = (1 if years <= 25 else 2) if is_wide else (1 if years <= 6 else 2)
        frames = level_frames(book, lifter_id, readings, first, calendar.weeks, every)
        layout = SignalLevelLayout(
            left=150 if is_wide else 0,
            plot=970 if is_wide else 318,
            right=80 if is_wide else 48,
            row=76 if is_wide else 84,
            rows=frames.rows.height,
            weeks=calendar.weeks,
            is_wide=is_wide,
        )
        drawn.append(draw_signal_levels(frames, layout))
    keys = (
        (Key("line", words.plain("nights.key_slow"), INK), True),
        (Key("line", words.plain("nights.key_week"), INK3), True),
        (Key("rule", words.plain("nights.key_device"), INK), frames.devices.height > 0),
    )
    return Picture(
        name="levels",
        title=words.plain("nights.levels_title"),
        caption=words.say("nights.levels_caption"),
        description=words.plain(
            "nights.levels_description", n=frames.rows.height, devices=frames.devices.height
        ),
        wide=drawn[0],
        narrow=drawn[1],
        keys=tuple(key for key, is_shown in keys if is_shown),
        table=level_table(readings),
    )
