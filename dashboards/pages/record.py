"""The record: what happened in all these years."""

import polars as pl

from dashboards import words
from dashboards.blocks import Answer, Page, Picture
from dashboards.charts.overview import draw_overview
from dashboards.numbers import count, months_between, time_span
from dashboards.prepare.events import event_frames
from dashboards.prepare.record import overview_frames, overview_layout
from dashboards.prepare.strips import strip_frames
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter."""
    strips = strip_frames(book, lifter)
    if strips is None:
        return Page((Answer("nothing", ""),), (), ())
    events = event_frames(book, lifter.lifter_id, strips.first, strips.count, strips.muscles)
    layout = overview_layout(strips)
    frames = overview_frames(book, lifter.lifter_id, strips, events, layout)
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter.lifter_id)
    chart = draw_overview(frames, layout, 20)
    picture = Picture(
        "overview",
        words.plain("record.title"),
        words.say("record.caption"),
        words.plain("record.description"),
        chart,
        chart,
        is_main=True,
    )
    span = time_span(months_between(strips.first, weeks["week_start"].max()))
    answer = Answer(
        words.say("record.answer", span=span.capitalize(), sets=count(weeks["working_sets"].sum())),
        words.say("record.second", weeks=strips.count),
    )
    return Page((answer,), (picture,), ())
