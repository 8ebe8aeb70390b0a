"""Tables of the page Easing off."""

from datetime import timedelta
from functools import partial

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import amount, count, figure, interval, say_date, say_weekday, signed
from dashboards.prepare.counts import lifter_weeks
from dashboards.prepare.easing import (
    EasingCounts,
    Pace,
    Row,
    count_by_year,
    deloads_read,
    find_answer,
    is_answered,
    layoffs_read,
    tone_of,
)
from dashboards.prepare.easing_pace import say_pace, say_survey
from dashboards.prepare.events import say_evidence
from dashboards.prepare.heads import heads_of
from dashboards.prepare.published import find_fact
from dashboards.told import told
from pipeline.core.page_book import PageBook

heads = partial(heads_of, "easing")
# A month away is what most ask about.
ASKED_WEEKS = 4


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
            _course(found.get("textbook"))[0],
        )
        for week, found in by_week.items()
    )
    keys = ("week", "after", "after_interval", "n", "ordinary", "ordinary_interval", "textbook")
    return Table(heads(*keys, numbers=("week", "after", "n", "ordinary", "textbook")), rows)


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
            say_evidence(row["evidence"]),
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
            figure(row["weeks_off"]),
            say_evidence(row["evidence"]),
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
            figure(row["weeks_off"]),
            f"{signed(row['loss_pct'])} {interval(row['low'], row['high'])}",
            _back(row),
        )
        for row in read.iter_rows(named=True)
    )
    published = _say_fact(book, "regain_10_week_layoff", "easing.back_published")
    if is_answered(regain) and regain is not None and regain["prior_estimate"] is not None:
        here = amount(regain["prior_estimate"])
        published = _join(published, words.say("easing.back_beside", weeks=here))
    return Table(
        heads("start", "weeks_off", "change", "back", numbers=("weeks_off",)),
        rows,
        words.plain("easing.back_title"),
        words.say(
            "easing.back_note",
            read=_say_read(read.height, counts.layoffs.height),
            said=_say_regain(read, regain),
            published=published,
        ),
        words.plain("easing.back_none"),
    )


def _say_read(read: int, layoffs: int) -> Text:
    """How many of the layoffs stand in the table, and why the others do not."""
    if not read:
        return ""
    key = "easing.back_read_all" if read == layoffs else "easing.back_read"
    return words.say(key, read=count(read), all=count(layoffs))


def _say_regain(read: pl.DataFrame, regain: Row | None) -> Text:
    """The finding, or what the table shows where no layoff of it has anything to come back from."""
    if regain is None:
        return ""
    if read.height and not is_answered(regain) and (read["high"] >= 0).all():
        return words.say("easing.back_no_loss")
    return told(regain["sentence"])


def _back(row: Row) -> str:
    if row["high"] >= 0:
        return words.plain("easing.no_loss")
    if row["weeks_to_regain"] is None:
        return words.plain("easing.not_back")
    values = {"weeks": amount(row["weeks_to_regain"])}
    if row["regain_low"] is None:
        return words.plain("easing.weeks_back", **values)
    if row["regain_high"] is None:
        return words.plain("easing.weeks_back_open", low=amount(row["regain_low"]), **values)
    ends = {"low": amount(row["regain_low"]), "high": amount(row["regain_high"])}
    return words.plain("easing.weeks_back_between", **ends, **values)


def _say_fact(book: PageBook, fact_id: str, key: str) -> Text:
    """A published value in words, with its source and how it was read; nothing without it."""
    fact = find_fact(book, fact_id)
    if fact is None:
        return ""
    shown = {name: _number(fact[name]) for name in ("value", "low", "high")}
    return words.say(key, source=fact["source"], status=told(fact["status"]), **shown)


def _join(*texts: Text) -> Markup:
    return Markup(" ").join(text for text in texts if text)


def _number(value: object) -> str:
    return "" if value is None else figure(value)


def pauses_table(book: PageBook, lifter_id: str, counts: EasingCounts) -> Table:
    """Reduced weeks, weeks of rest and layoffs, apart: what followed here, what is published."""
    rows = tuple(
        (
            words.plain(f"easing.pause_{kind}"),
            count(events.height),
            _say_answer(find_answer(book, lifter_id, question)),
            published,
        )
        for kind, events, question, published in (
            ("deload", counts.deloads, "deload_effect", words.say("easing.published_deload")),
            ("rest", counts.rests, "rest_effect", words.say("easing.published_rest")),
            ("layoff", counts.layoffs, "layoff_loss", _published_losses(book)),
        )
    )
    columns = heads("kind", "number", "followed", "published", numbers=("number",))
    title, note = words.plain("easing.pauses_title"), words.say("easing.pauses_note")
    return Table(columns, rows, title, note)


def _published_losses(book: PageBook) -> Text:
    facts = ("layoff_bench_3_weeks", "layoff_loss_8_to_12_weeks")
    return _join(*(_say_fact(book, one, f"easing.published_{one}") for one in facts))


def _say_answer(row: Row | None) -> Text:
    if row is None:
        return ""
    said = told(row["sentence"])
    # Some findings say themselves that the change may be either way.
    if not is_answered(row) or tone_of(row["low"], row["high"]) or "either way" in row["sentence"]:
        return said
    return _join(said, words.plain("easing.either_way"))


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
    return what, own, say_survey(fact), str(fact["source"]), told(str(fact["status"]))


def by_year_table(book: PageBook, lifter_id: str, counts: EasingCounts) -> Table:
    """Deloads and layoffs of each year, newest first."""
    rows = tuple(
        (
            str(row["year"]),
            count(row["deloads"]),
            "" if row["days"] is None else amount(row["days"]),
            count(row["rests"]),
            count(row["weeks_off"]),
        )
        for row in count_by_year(book, lifter_id, counts).iter_rows(named=True)
    )
    keys = ("year", "deloads", "days", "rests", "off")
    title, note = words.plain("easing.by_year_title"), _say_note(book, lifter_id)
    return Table(heads(*keys, numbers=keys), rows, title, note)


def _say_note(book: PageBook, lifter_id: str) -> Text:
    first = lifter_weeks(book, lifter_id)["week_start"][0]
    ends = {"first": say_weekday(first), "last": say_weekday(first + timedelta(days=6))}
    return words.say("easing.by_year_note", **ends)


def say_layoffs(row: Row | None, read: pl.DataFrame) -> Text:
    """The finding about layoffs as a sentence, said to be open where its interval holds zero.

    ``read``: the layoffs behind it (``layoffs_read``).
    """
    if row is None:
        return ""
    if not is_answered(row):
        return words.say("easing.layoffs_refused", why=told(row["support_why"]))
    open_end = "" if tone_of(row["low"], row["high"]) else words.plain("easing.either_way")
    return _join(told(row["sentence"]), _say_four_weeks(row, read), open_end)


def _say_four_weeks(row: Row, read: pl.DataFrame) -> Text:
    """The change after four weeks off, only where so long a layoff was read: no further."""
    longest = float(read["weeks_off"].max())  # type: ignore[arg-type]
    if longest < ASKED_WEEKS:
        return words.say("easing.four_weeks_unread", longest=figure(longest), weeks=ASKED_WEEKS)
    return words.say(
        "easing.four_weeks",
        weeks=ASKED_WEEKS,
        change=signed(ASKED_WEEKS * row["estimate"]),
        interval=interval(ASKED_WEEKS * row["low"], ASKED_WEEKS * row["high"]),
    )
