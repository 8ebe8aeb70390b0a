"""State of the record: what was read, what was not, and what is doubted."""

from datetime import timedelta

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Contents, Fold, Page, Table
from dashboards.numbers import count, plural, say_date, say_moment
from dashboards.prepare.counts import lifter_weeks
from dashboards.prepare.events import unlogged_runs
from dashboards.prepare.mending import copy_table, correction_table, doubt_table
from dashboards.prepare.state import (
    StateFrames,
    aside_table,
    comb_picture,
    file_table,
    heads,
    name_table,
    reason_table,
    state_frames,
)
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; like the start page it carries the time of the last run."""
    frames = state_frames(book, lifter.lifter_id)
    weeks = lifter_weeks(book, lifter.lifter_id)
    if frames.files.is_empty():
        return _nothing(book, lifter)
    tables = (
        file_table(frames),
        reason_table(frames),
        name_table(book, lifter.lifter_id, frames),
        doubt_table(book, lifter.lifter_id, lifter.unit),
        copy_table(book, lifter.lifter_id),
        correction_table(book, lifter.lifter_id),
        _unlogged_table(book, lifter.lifter_id, weeks),
    )
    contents = Contents(words.plain("frame.contents"), tuple((t.place, t.title) for t in tables))
    comb = (comb_picture(book, lifter.lifter_id),) if weeks.height else ()
    rows = Fold(words.plain("state.aside_rows_title"), (aside_table(frames),))
    return Page(
        answers=(_answer(book, frames, weeks),),
        blocks=(contents, *comb, *tables[:2], rows, *tables[2:]),
        method=_method(book),
        caution=words.say("state.caution"),
    )


def _nothing(book: PageBook, lifter: LifterInfo) -> Page:
    second = words.say("state.second_none", moment=say_moment(book.last_run))
    return Page((Answer(words.say("state.answer_none", name=lifter.name), second),), (), ())


def _answer(book: PageBook, frames: StateFrames, weeks: pl.DataFrame) -> Answer:
    unlogged = int((weeks["week_status"] == "unlogged").sum())
    names = frames.unmatched["exercise_as_written"].n_unique()
    unread = frames.files["encoding"].is_null().sum()
    second = words.say(
        "state.second",
        unlogged=_link("unlogged", plural(unlogged, "week")),
        slips=_link("doubts", _say_slips(frames)),
        unmatched=_link("names", plural(names, "name")),
        warnings=plural(int(unread), "file"),
        moment=say_moment(book.last_run),
    )
    files = plural(frames.files.height, "file")
    aside = _link("aside", words.plain("state.n_aside", **frames.totals))
    return Answer(words.say("state.answer", files=files, aside=aside, **frames.totals), second)


def _link(place: str, counted: str) -> Markup:
    """What was counted, leading to where it is listed."""
    return Markup('<a href="#{}">{}</a>').format(place, counted)


def _say_slips(frames: StateFrames) -> str:
    slips = plural(frames.slips, "slip")
    if not frames.slips_aside:
        return slips
    return words.plain("state.slips_aside", slips=slips, aside=count(frames.slips_aside))


def _unlogged_table(book: PageBook, lifter_id: str, weeks: pl.DataFrame) -> Table:
    rows: list[tuple[str, ...]] = []
    if weeks.height:
        first = weeks["week_start"][0]
        for w0, w1 in unlogged_runs(book, lifter_id, first).iter_rows():
            start = first + timedelta(weeks=w0)
            rows.append(
                (say_date(start), say_date(first + timedelta(weeks=w1, days=-1)), str(w1 - w0))
            )
    return Table(
        heads("from", "to", "weeks", numbers=("weeks",)),
        tuple(reversed(rows)),
        words.plain("state.unlogged_title"),
        empty=words.plain("state.unlogged_none"),
        place="unlogged",
    )


def _method(book: PageBook) -> tuple[object, ...]:
    parts = [words.say(f"state.method_{key}") for key in ("equation", "weeks", "doubt", "copies")]
    parts += [
        words.say("state.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)
