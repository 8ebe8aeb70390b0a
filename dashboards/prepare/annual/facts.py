"""What one sheet says beside its drawing: counts, best sets, slopes, events, what is not told."""

from collections.abc import Iterable
from datetime import date
from math import exp
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import amount, count, plural, say_date
from dashboards.prepare.annual.years import Year
from dashboards.prepare.easing import count_easing
from dashboards.prepare.events import say_subject
from dashboards.prepare.heads import heads_of
from dashboards.prepare.lift_rows import say_load, say_mass
from dashboards.prepare.names import UNMATCHED, lift_names, muscle_names, name_lift, title_of
from dashboards.prepare.record import body_weight, in_unit
from dashboards.prepare.slopes import FALLING, RISING, say_slope, slopes_of
from dashboards.prepare.strips import StripFrames
from dashboards.told import told_plain
from pipeline.core.page_book import LifterInfo, PageBook

# Rows that a sheet has room for; the rest stands on the page Lifts and in The record.
BEST_ROWS, SLOPE_ROWS, EVENTS_EACH = 7, 6, 3
NIGHTLY = ("sleep_min", "resting_hr_bpm", "hrv_rmssd_ms", "hrv_sdnn_ms")
WITH_DATES = ("priority", "hold", "surplus", "deficit", "injury", "layoff", "gym_change")


def best_table(book: PageBook, lifter: LifterInfo, year: Year) -> Table:
    """The heaviest set of the lifts done most, and the e1RM of the best set of the year."""
    sets = _sets_of(book, lifter.lifter_id, year)
    most = sets.group_by("exercise_id").len().sort("len", "exercise_id", descending=[True, False])
    heaviest = sets.filter(
        pl.col("load_kg").is_not_null(), pl.col("reps") > 0, pl.col("load_basis") != "assisted"
    ).sort("load_kg", "reps", "session_date", descending=[True, True, False])
    named = lift_names(book)
    levels = book.tables["model_lift_level"].filter(pl.col("lifter_id") == lifter.lifter_id)
    rows: list[tuple[Text, ...]] = []
    for lift in most["exercise_id"]:
        mine = heaviest.filter(pl.col("exercise_id") == lift)
        if mine.height and len(rows) < BEST_ROWS:
            top = mine.row(0, named=True)
            rows.append(
                (
                    title_of(name_lift(named, lift)),
                    *_set(top, lifter.unit, year),
                    _best(levels, lift, year, lifter),
                )
            )
    columns = heads_of(
        "annual", "lift", "set", "day", "best", numbers=("set", "best"), unit=lifter.unit
    )
    title = words.plain("annual.best_title")
    return Table(columns, tuple(rows), title, empty=words.plain("annual.best_empty"))


def _sets_of(book: PageBook, lifter_id: str, year: Year) -> pl.DataFrame:
    return book.tables["tidy_set"].filter(
        (pl.col("lifter_id") == lifter_id)
        & pl.col("session_date").is_between(*year.days)
        & ~pl.col("is_warmup")
        & ~pl.col("is_doubted")
        & ~pl.col("exercise_id").str.starts_with(UNMATCHED)
    )


def _set(top: dict[str, Any], unit: str, year: Year) -> tuple[Text, Text]:
    # Of a lift of the body weight what was added to it, unlike its e1RM, which counts the body.
    sign = "+" if top["load_basis"] == "added" else ""
    load = f"{sign}{say_load(top['load_kg'], unit)}"
    said = words.plain("annual.set", load=load, reps=count(top["reps"]))
    return said, _short_day(top["session_date"], year)


def _best(levels: pl.DataFrame, lift: str, year: Year, lifter: LifterInfo) -> str:
    """The year's best e1RM, marked where no earlier year had a better one."""
    mine = levels.filter(pl.col("exercise_id") == lift, pl.col("best_log").is_not_null())
    now = mine.filter(pl.col("week_start").is_between(year.first, year.last))["best_log"].max()
    if now is None:
        return ""
    before = mine.filter(pl.col("week_start") < year.first)["best_log"].max()
    said = say_mass(exp(now), lifter.unit)  # type: ignore[arg-type]
    is_best = before is not None and now > before  # type: ignore[operator]
    return words.plain("annual.best_ever", value=said) if is_best else said


def slope_table(book: PageBook, lifter: LifterInfo, year: Year) -> Table:
    """The fastest changes of lifts and muscles in the training year that lies most in this one."""
    found = slopes_in(book, lifter.lifter_id, year).sort("est", descending=True)
    clear = found.filter(pl.col("verdict").is_in([RISING, FALLING]))
    named = lift_names(book) | muscle_names(book)
    shown = clear.head(SLOPE_ROWS)
    rows = tuple(
        (title_of(name_lift(named, row["id"])), say_slope(row), told_plain(row["support"]))
        for row in shown.iter_rows(named=True)
    )
    more = found.height - shown.height
    note = ""
    if found.height:
        ages = found.row(0, named=True)
        note = words.plain(
            "annual.slope_note", low=amount(ages["age_from"]), high=amount(ages["age_to"])
        )
        note += words.plain("annual.slope_more", more=count(more)) if more else ""
    columns = heads_of("annual", "subject", "slope", "support", numbers=("slope",))
    title = words.plain("annual.slope_title")
    return Table(columns, rows, title, note, words.plain("annual.slope_empty"))


def slopes_in(book: PageBook, lifter_id: str, year: Year) -> pl.DataFrame:
    """Answered slopes of training years whose middle lies in the calendar year."""
    both = pl.concat([slopes_of(book, "lift_slope"), slopes_of(book, "muscle_slope")])
    middle = pl.col("from_date") + (pl.col("to_date") - pl.col("from_date")) / 2
    return both.filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("window") == "year")
        & pl.col("est").is_not_null()
        & middle.is_between(year.first, year.last)
    )


def event_lines(book: PageBook, lifter_id: str, year: Year) -> tuple[Text, ...]:
    """Phases, easing weeks, layoffs, injuries: a line a kind, its first ones with dates."""
    first, last = year.days
    events = (
        book.tables["tidy_event"]
        .filter(
            (pl.col("lifter_id") == lifter_id)
            & (pl.col("start") <= last)
            & (pl.col("end").fill_null(pl.col("start")) >= first)
        )
        .sort("start", "event_id")
    )
    named = muscle_names(book)
    lines: list[Text] = []
    # By the one count of Easing off: in the year that they begin in, trained, none still to come.
    begun = count_easing(book, lifter_id).deloads["start"]
    deloads = begun.filter(begun.is_between(first, last)).len()
    if deloads:
        lines.append(words.say("annual.deloads", deloads=plural(deloads, "deload")))
    for kind in WITH_DATES:
        mine = events.filter(pl.col("kind") == kind)
        if mine.height:
            told = [
                _event(row, named, year) for row in mine.head(EVENTS_EACH).iter_rows(named=True)
            ]
            lines.append(_listed(f"annual.event_{kind}", told, mine.height))
    return tuple(lines) or (words.say("annual.no_events"),)


def _listed(key: str, told: Iterable[str], of: int) -> Text:
    items = list(told)
    more = of - len(items)
    text = "; ".join(items)
    text += words.plain("annual.more", more=count(more)) if more else ""
    # A month cut short ends on a full stop already ("2. Feb. bis 26. Apr.").
    return words.say(key, told=text.removesuffix("."))


def _event(row: dict[str, Any], named: dict[str, str], year: Year) -> str:
    subject = say_subject(row["subject"], named)
    first = _short_day(row["start"], year)
    is_moment = row["kind"].endswith("_change")
    if is_moment:
        days = first
    elif row["end"] is None:
        days = words.plain("annual.days_on", first=first)
    else:
        days = words.plain("annual.days", first=first, last=_short_day(row["end"], year))
    return f"{subject}, {days}" if subject else days


def measure_lines(
    book: PageBook, lifter_id: str, strips: StripFrames, year: Year, unit: str
) -> tuple[Text, ...]:
    """Body weight at both ends of the year's line, as drawn, and how many nights there are."""
    weight = body_weight(book, lifter_id, strips, (year.w0, year.w1))["v"]
    signals = book.tables["tidy_signal"].filter(
        (pl.col("lifter_id") == lifter_id) & pl.col("date").is_between(*year.days)
    )
    lines: list[Text] = []
    if len(weight):
        then, now = (in_unit(weight[i], unit) for i in (0, -1))
        lines.append(words.say("annual.weight", then=amount(then), now=amount(now), unit=unit))
    nights = signals.filter(pl.col("signal").is_in(NIGHTLY))["date"].n_unique()
    key = "annual.nights" if nights else "annual.no_nights"
    lines.append(words.say(key, nights=count(nights)))
    return tuple(lines)


def untold_lines(
    book: PageBook, lifter_id: str, strips: StripFrames, year: Year
) -> tuple[Text, ...]:
    """What this year's record does not say, each with its number."""
    mine = pl.col("lifter_id") == lifter_id
    weeks = book.tables["mart_week_lifter"].filter(
        mine & pl.col("week_start").is_between(year.first, year.last)
    )
    sets = book.tables["tidy_set"].filter(
        mine & pl.col("session_date").is_between(*year.days) & ~pl.col("is_warmup")
    )
    lifts = _sets_of(book, lifter_id, year)["exercise_id"].unique()
    told = slopes_in(book, lifter_id, year)["id"].unique()
    ranged = strips.weeks.filter(pl.col("w").is_between(year.w0, year.w1 - 1) & (pl.col("lo") > 0))[
        "m"
    ].n_unique()
    numbers = {
        "unlogged": weeks.filter(pl.col("week_status") == "unlogged").height,
        "doubted": int(sets["is_doubted"].sum()),
        "unmatched": sets.filter(pl.col("exercise_id").str.starts_with(UNMATCHED)).height,
        "slopes": len(set(lifts) - set(told)),
        "ranges": strips.muscles.height - ranged,
    }
    lines = tuple(
        words.say(f"annual.untold_{key}", n=count(number))
        for key, number in numbers.items()
        if number
    )
    return lines or (words.say("annual.untold_nothing"),)


def _short_day(day: date, year: Year) -> str:
    """A day of the sheet's year without the year, which the sheet names once."""
    said = say_date(day)
    if day.year == year.number:
        said = said.replace(str(day.year), "").strip(" ,-\N{NO-BREAK SPACE}")
    return said.replace(" ", "\N{NO-BREAK SPACE}")
