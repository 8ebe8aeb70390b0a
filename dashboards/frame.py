"""What every page carries around its own part: header, menu, horizon, span and footer."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Horizon, Key
from dashboards.numbers import amount, count, plural, say_date, say_moment, say_weekday, short_sum
from dashboards.prepare.counts import first_and_last
from dashboards.prepare.horizon import render_horizon
from dashboards.prepare.record import say_family
from dashboards.theme.colours import FAMILIES, rock
from pipeline.core.calendar import training_age_years
from pipeline.core.page_book import LifterInfo, PageBook

# Weeks of the span that a page opens with: two years.
OPENING_SPAN_WEEKS = 104


@dataclass(frozen=True)
class PageId:
    """One page: its file below the pages' folder and its title in the browser."""

    file: str
    title: str
    kind: str = ""
    lifter_id: str | None = None


@dataclass(frozen=True)
class LifterWeeks:
    """The calendar of one record: when its weeks begin, how many, day of the last record."""

    first: date
    weeks: int
    last: date


def weeks_of(book: PageBook, lifter_id: str) -> LifterWeeks | None:
    """The calendar of a lifter's record, or None when nothing was logged."""
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter_id)
    if weeks.is_empty():
        return None
    first, last = first_and_last(weeks["week_start"])
    files = book.tables["source_file"].filter(pl.col("lifter_id") == lifter_id)
    # A calendar week runs to its seventh day; the last record may lie before that.
    kept = files["last_date"].drop_nulls()
    end = first_and_last(kept)[1] if len(kept) else last
    return LifterWeeks(first, (last - first).days // 7 + 1, end)


def lifter_frame(book: PageBook, page_id: PageId, pages: list[PageId]) -> dict[str, Any]:
    """Header, menu, horizon, span and footer of one lifter's page, for the templates."""
    lifter = next(one for one in book.lifters if one.lifter_id == page_id.lifter_id)
    calendar = weeks_of(book, lifter.lifter_id)
    shows_clock = page_id.kind == "state"
    last = calendar.last if calendar else None
    frame = _footer(book, lifter.lifter_id, last)
    frame.update(
        title=words.plain("frame.title", page=page_id.title, name=lifter.name),
        who=_who(lifter, last),
        as_of=_as_of(book, last, shows_clock),
        here=page_id.title,
        up="../",
        menu=_menu(page_id, pages),
        horizon=horizon_of(book, lifter.lifter_id),
        weeks=_span(calendar) if calendar else None,
    )
    return frame


def book_frame(book: PageBook, page_id: PageId, pages: list[PageId]) -> dict[str, Any]:
    """The same for a page about all lifters: no horizon, no span; a menu where there are two."""
    shows_clock = page_id.kind == "index"
    ends = [c.last for one in book.lifters if (c := weeks_of(book, one.lifter_id))]
    last = max(ends) if ends else None
    frame = _footer(book, None, last)
    frame.update(
        title=words.plain("frame.title_bare", page=page_id.title),
        who="",
        as_of=_as_of(book, last, shows_clock),
        here=page_id.title,
        up="",
        menu=_menu(page_id, pages) if len(pages) > 1 else None,
        horizon=None,
        weeks=None,
    )
    return frame


def _menu(page_id: PageId, pages: list[PageId]) -> list[dict[str, object]]:
    """The pages that exist beside this one, this one marked."""
    return [{"file": p.file, "title": p.title, "is_here": p.file == page_id.file} for p in pages]


def _who(lifter: LifterInfo, last: date | None) -> str:
    if last is None:
        return lifter.name
    age = amount(training_age_years(last, lifter.training_began))
    return words.plain("frame.who", name=lifter.name, age=age)


def _as_of(book: PageBook, last: date | None, shows_clock: bool) -> str:
    if shows_clock:
        return words.plain("frame.refreshed", moment=say_moment(book.last_run))
    return _as_of_record(last)


def _as_of_record(last: date | None) -> str:
    """The day that the record reaches, or that there is none."""
    return (
        words.plain("frame.as_of", date=say_date(last)) if last else words.plain("frame.no_record")
    )


def say_nothing(book: PageBook, lifter: LifterInfo) -> Markup:
    """Why pages of a lifter without sets are empty: nothing was read, or nights and measures."""
    files = book.tables["source_file"].filter(pl.col("lifter_id") == lifter.lifter_id)
    kept = int(files["kept"].sum())
    key = "frame.no_sets" if kept else "frame.nothing"
    return words.say(key, name=lifter.name, kept=count(kept))


def say_week_start(book: PageBook, lifters: Sequence[LifterInfo]) -> tuple[Markup, ...]:
    """The weekday that weeks start on, for how a page was made: no weekly number goes without.

    Of several lifters each day that one of them chose, from Monday; none where nothing was logged.
    """
    calendars = (weeks_of(book, one.lifter_id) for one in lifters)
    days = {one.first.weekday(): say_weekday(one.first) for one in calendars if one is not None}
    if not days:
        return ()
    key = "frame.weeks_start" if len(days) == 1 else "frame.weeks_start_own"
    return (words.say(key, day=", ".join(days[number] for number in sorted(days))),)


def _span(calendar: LifterWeeks) -> tuple[str, int, int, int]:
    start = max(0, calendar.weeks - OPENING_SPAN_WEEKS)
    return calendar.first.isoformat(), calendar.weeks, start, calendar.weeks


def horizon_of(book: PageBook, lifter_id: str) -> Horizon | None:
    """The horizon of a lifter, or None when no training was logged."""
    calendar = weeks_of(book, lifter_id)
    if calendar is None:
        return None
    logged = logged_families(book, lifter_id, calendar.first)
    if logged.is_empty():
        return None
    there = set(logged["family"])
    keys = (Key("swatch", say_family(f), rock(f, "within")) for f in FAMILIES if f in there)
    return Horizon(*render_horizon(logged, calendar.first, calendar.weeks), tuple(keys))


def logged_families(book: PageBook, lifter_id: str, first: date) -> pl.DataFrame:
    """Sets of each family in the weeks with training: w (week), family, v."""
    shown = book.tables["ref_muscle"].filter(pl.col("is_shown")).select("muscle_id", "family")
    weeks = book.tables["mart_week_muscle"].filter(pl.col("lifter_id") == lifter_id)
    return (
        weeks.filter(pl.col("week_status").is_in(["trained", "deload"]))
        .join(shown, on="muscle_id")
        .with_columns(w=(pl.col("week_start") - first).dt.total_days() // 7)
        .group_by("w", "family")
        .agg(v=pl.col("weekly_sets").sum())
        .sort("w", "family")
    )


def _footer(book: PageBook, lifter_id: str | None, last: date | None) -> dict[str, Any]:
    files = book.tables["source_file"].sort("path", "file_id")
    if lifter_id is not None:
        files = files.filter(pl.col("lifter_id") == lifter_id)
    return {
        "sources": words.say(
            "frame.sources",
            files=plural(files.height, "file"),
            read=count(int(files["read"].sum())),
            set_aside=count(int(files["set_aside"].sum())),
        ),
        "made_with": words.say(
            "frame.made_with",
            settings=book.settings_id,
            reference=book.reference_id,
            models=book.model_version,
            record=_as_of_record(last),
        ),
        "files": [
            words.say("frame.file", path=row["path"], sum=short_sum(row["sha256"]))
            for row in files.iter_rows(named=True)
        ],
    }
