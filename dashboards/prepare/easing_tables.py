"""Tables of the page Easing off."""

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table, Text
from dashboards.numbers import amount, count, interval, signed
from dashboards.prepare.easing import (
    EasingCounts,
    Pace,
    Row,
    count_by_year,
    deloads_read,
    is_answered,
    layoffs_read,
    tone_of,
)
from dashboards.prepare.easing_pace import say_pace, say_survey
from dashboards.prepare.published import find_fact
from pipeline.core.calendar import say_date
from pipeline.core.page_book import PageBook


def heads(*keys: str, numbers: tuple[str, ...] = ()) -> tuple[Column, ...]:
    """Columns whose heads are texts ``easing.col_<key>``; those in ``numbers`` align right."""
    return tuple(
        Column(words.plain(f"easing.col_{key}"), "number" if key in numbers else "text")
        for key in keys
    )


def fan_table(book: PageBook, lifter_id: str) -> Table:
    """The two mean courses by week."""
    paths = book.tables["model_deload_path"].filter(
        (pl.col("lifter_id") == lifter_id) & (pl.col("series") != "event")
    )
    by_week: dict[int, dict[str, Row]] = {}
    for row in paths.sort("week_offset").iter_rows(named=True):
        by_week.setdefault(row["week_offset"], {})[row["series"]] = row
    rows = tuple(
        (
            signed(week, 0),
            *_course(found.get("after_deloads")),
            *_course(found.get("ordinary_weeks"))[:2],
        )
        for week, found in by_week.items()
    )
    keys = ("week", "after", "after_interval", "n", "ordinary", "ordinary_interval")
    return Table(heads(*keys, numbers=("week", "after", "n", "ordinary")), rows)


def _course(row: Row | None) -> tuple[str, str, str]:
    if row is None:
        return "", "", ""
    band = "" if row["low_pct"] is None else interval(row["low_pct"], row["high_pct"])
    return signed(row["value_pct"]), band, count(row["n"])


def deload_table(book: PageBook, lifter_id: str) -> Table:
    """Every deload with a reading, newest first."""
    rows = tuple(
        (
            say_date(row["start"]),
            row["evidence"],
            signed(row["effect_pct"]),
            interval(row["low"], row["high"]),
            words.plain(f"easing.reads_{row['reads'] or 'open'}"),
        )
        for row in deloads_read(book, lifter_id).reverse().iter_rows(named=True)
    )
    keys = ("start", "known", "effect", "interval", "reads")
    return Table(heads(*keys, numbers=("effect",)), rows)


def layoff_table(book: PageBook, lifter_id: str, counts: EasingCounts) -> Table:
    """Every layoff with a reading, newest first."""
    read = layoffs_read(book, lifter_id, counts).reverse()
    rows = tuple(
        (
            say_date(row["start"]),
            f"{row['weeks_off']:g}",
            row["evidence"],
            signed(row["loss_pct"]),
            interval(row["low"], row["high"]),
            row["note"] or "",
        )
        for row in read.iter_rows(named=True)
    )
    keys = ("start", "weeks_off", "known", "change", "interval", "note")
    return Table(heads(*keys, numbers=("weeks_off", "change")), rows)


def back_table(book: PageBook, lifter_id: str, counts: EasingCounts, regain: Row | None) -> Table:
    """How long coming back took after each layoff, with the finding and the published value."""
    read = layoffs_read(book, lifter_id, counts).reverse()
    rows = tuple(
        (
            say_date(row["start"]),
            f"{row['weeks_off']:g}",
            f"{signed(row['loss_pct'])} {interval(row['low'], row['high'])}",
            _back(row),
        )
        for row in read.iter_rows(named=True)
    )
    fact = find_fact(book, "regain_10_week_layoff")
    published: Text = ""
    if fact is not None:
        values = {"weeks": f"{fact['value']:g}", "source": fact["source"], "status": fact["status"]}
        published = words.say("easing.back_published", **values)
    said = regain["sentence"] if regain is not None else ""
    return Table(
        heads("start", "weeks_off", "change", "back", numbers=("weeks_off",)),
        rows,
        words.plain("easing.back_title"),
        words.say("easing.back_note", said=said, published=published),
        words.plain("easing.back_none"),
    )


def _back(row: Row) -> str:
    if row["weeks_to_regain"] is not None:
        return words.plain("easing.weeks_back", weeks=amount(row["weeks_to_regain"]))
    return words.plain("easing.no_loss") if row["high"] >= 0 else ""


def pace_table(book: PageBook, counts: EasingCounts) -> Table:
    """How often and how long, beside the survey with its source."""
    rows = (
        _pace_row(book, "every", counts.every, "deload_every"),
        _pace_row(book, "length", counts.length, "deload_days"),
    )
    return Table(heads("what", "own", "survey", "source", "status"), rows)


def _pace_row(book: PageBook, key: str, pace: Pace, fact_id: str) -> tuple[Text, ...]:
    fact = find_fact(book, fact_id)
    what = words.plain(f"easing.pace_{key}")
    own = say_pace(pace) or words.plain("easing.pace_none")
    if fact is None:
        return what, own, "", "", ""
    return what, own, say_survey(fact), str(fact["source"]), str(fact["status"])


def by_year_table(book: PageBook, lifter_id: str, counts: EasingCounts) -> Table:
    """Deloads and layoffs of each year, newest first."""
    rows = tuple(
        (
            str(row["year"]),
            count(row["deloads"]),
            "" if row["days"] is None else amount(row["days"]),
            count(row["weeks_off"]),
        )
        for row in count_by_year(book, lifter_id, counts).iter_rows(named=True)
    )
    keys = ("year", "deloads", "days", "off")
    title, note = words.plain("easing.by_year_title"), words.say("easing.by_year_note")
    return Table(heads(*keys, numbers=keys), rows, title, note)


def say_layoffs(row: Row | None) -> str:
    """The finding about layoffs as a sentence, said to be open where its interval holds zero."""
    if row is None:
        return ""
    if not is_answered(row):
        return words.plain("easing.layoffs_refused", why=row["support_why"])
    open_end = "" if tone_of(row["low"], row["high"]) else words.plain("easing.either_way")
    return f"{row['sentence']} {open_end}".strip()
