"""Year by year: one sheet of A4 for each calendar year, newest first, drawn to be printed."""

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Text, YearSheet
from dashboards.frame import logged_families, say_nothing, weeks_of
from dashboards.numbers import amount, capital, count, in_words, plural, say_date
from dashboards.prepare.annual.facts import (
    best_table,
    event_lines,
    measure_lines,
    slope_table,
    untold_lines,
)
from dashboards.prepare.annual.fit import fit_of
from dashboards.prepare.annual.picture import draw_strips
from dashboards.prepare.annual.years import Year, years_of
from dashboards.prepare.counts import count_years
from dashboards.prepare.events import event_frames
from dashboards.prepare.horizon import render_for_sheets
from dashboards.prepare.record_pictures import strip_keys
from dashboards.prepare.strips import StripFrames, strip_frames
from pipeline.core.calendar import training_age_years
from pipeline.core.page_book import LifterInfo, PageBook

# The scale of the strips is told by the column of means.
_SCALES = ("scale", "length")


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """A sheet for each year of the record; without a record, what is needed for the first."""
    strips = strip_frames(book, lifter)
    method = tuple(words.say(f"annual.method_{key}") for key in ("year", "best", "slope", "range"))
    if strips is None:
        answer = say_nothing(book, lifter)
        return Page((Answer(answer, words.say("record.nothing_second")),), (), method)
    years = years_of(strips)
    many = words.say("annual.answer", years=capital(in_words(len(years), "calendar_year")))
    answer = words.say("annual.answer_one") if len(years) == 1 else many
    return Page(
        answers=(Answer(answer, words.say("annual.second")),),
        blocks=_sheets(book, lifter, strips, years),
        method=method,
    )


def _sheets(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, years: list[Year]
) -> tuple[YearSheet, ...]:
    lanes = event_frames(book, lifter.lifter_id, strips.first, strips.count, strips.muscles)
    counts = {row["year"]: row for row in count_years(book, lifter.lifter_id).iter_rows(named=True)}
    logged = logged_families(book, lifter.lifter_id, strips.first)
    rock = render_for_sheets(logged, strips.first, strips.count)
    foot = _foot(book, lifter)
    sheets = []
    for i, year in enumerate(years):
        row = counts[year.number]
        drawing, height = draw_strips(book, lifter, strips, lanes, year)
        parts = _parts(book, lifter, strips, year)
        inside = strips.weeks.filter(pl.col("w").is_between(year.w0, year.w1, closed="left"))
        keys = strip_keys(strips, lanes, 0, 0, inside)
        share = [100 * min(max(w, 0), strips.count) / strips.count for w in (year.w0, year.w1)]
        sheets.append(
            YearSheet(
                year=str(year.number),
                who=_who(lifter, year, strips),
                sentence=_sentence(row),
                drawing=drawing,
                description=words.plain(
                    "annual.description", year=year.number, muscles=strips.muscles.height
                ),
                place=f"from_week={max(0, year.w0)}&to_week={min(year.w1, strips.count)}&at=span",
                horizon=_first(rock) if i == 0 else _again(rock),
                from_share=round(share[0], 2),
                to_share=round(share[1], 2),
                keys=tuple(key for key in keys if key.mark not in _SCALES),
                parts=parts,
                foot=foot,
                fit=fit_of(height, parts),
            )
        )
    return tuple(sheets)


def _first(rock: Markup) -> Markup:
    return Markup(str(rock).replace("<svg ", '<svg id="rock" ', 1))


def _again(rock: Markup) -> Markup:
    """The same drawing by its id: its bytes are on the page once."""
    opening = str(rock).split(">", 1)[0]
    return Markup(opening + '><use href="#rock"/></svg>')


def _who(lifter: LifterInfo, year: Year, strips: StripFrames) -> str:
    age = training_age_years(min(year.last, strips.last), lifter.training_began)
    return words.plain("annual.who", name=lifter.name, age=amount(age))


def _sentence(row: dict[str, object]) -> Markup:
    per_week = row["per_week"]
    if per_week is None or not row["sessions"]:
        return words.say("annual.sentence_none")
    failure = int(row["failure_sets"])  # type: ignore[call-overload]
    return words.say(
        "annual.sentence",
        weeks=plural(int(row["trained"]), "week"),  # type: ignore[call-overload]
        sessions=plural(int(row["sessions"]), "session"),  # type: ignore[call-overload]
        sets=count(float(row["working_sets"])),  # type: ignore[arg-type]
        per_week=count(float(per_week)),  # type: ignore[arg-type]
        failure=words.say("annual.failure", sets=count(failure)) if failure else "",
    )


def _parts(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, year: Year
) -> tuple[tuple[object, ...], tuple[object, ...]]:
    unit = words.style().body_weight or lifter.unit
    lines: dict[str, tuple[Text, ...]] = {
        "events": event_lines(book, lifter.lifter_id, year),
        "measures": measure_lines(book, lifter.lifter_id, strips, year, unit),
        "untold": untold_lines(book, lifter.lifter_id, strips, year),
    }
    events, measures, untold = (
        Prose(told, words.plain(f"annual.{key}_title")) for key, told in lines.items()
    )
    best, slopes = best_table(book, lifter, year), slope_table(book, lifter, year)
    return (best, events), (slopes, measures, untold)


def _foot(book: PageBook, lifter: LifterInfo) -> str:
    """What the sheet was made from; the day is that of the page's head, not the week's last."""
    weeks = weeks_of(book, lifter.lifter_id)
    if weeks is None:
        raise ValueError(f"no week of {lifter.lifter_id} to print")
    return words.plain(
        "annual.foot",
        date=say_date(weeks.last),
        settings=book.settings_id,
        reference=book.reference_id,
        models=book.model_version,
    )
