"""The record: what happened in all these years, and what changed since the last refresh."""

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Text
from dashboards.frame import say_nothing
from dashboards.numbers import capital, count, in_words, months_between, plural, time_span
from dashboards.prepare.counts import RecordCounts, count_record
from dashboards.prepare.events import event_frames
from dashboards.prepare.missing import Missing, missing_questions
from dashboards.prepare.names import UNMATCHED
from dashboards.prepare.news import news_table
from dashboards.prepare.record_pictures import (
    begin_picture,
    overview_picture,
    span_control,
    span_picture,
)
from dashboards.prepare.record_tables import (
    event_table,
    lift_table,
    missing_table,
    year_table,
)
from dashboards.prepare.standing import ABOVE, BELOW, standing
from dashboards.prepare.strips import StripFrames, strip_frames
from pipeline.core.page_book import LifterInfo, PageBook

# Below this many weeks the page says first what is missing, and when answers can come.
YOUNG_WEEKS = 52
# Events that the answer counts, each with the place that tells more of it, if there is one.
_EVENTS = {
    "deload": "easing.html",
    "priority": "priorities.html",
    "injury": "priorities.html#injuries",
    "gym_change": "",
}


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter: counts always, inference only where a finding carries it."""
    strips = strip_frames(book, lifter)
    if strips is None:
        return Page((answer_record(book, lifter),), (), ())
    counts = count_record(book, lifter.lifter_id)
    missing = missing_questions(book, lifter.lifter_id)
    if _is_young(strips):
        return _young(book, lifter, strips, counts, missing)
    lanes = event_frames(book, lifter.lifter_id, strips.first, strips.count, strips.muscles)
    blocks: list[object] = [
        overview_picture(book, lifter, strips, lanes),
        span_control(strips),
        span_picture(book, lifter, strips, lanes),
    ]
    if strips.muscles["low"].is_null().all() and missing:
        blocks.append(missing_table(missing))
    blocks.append(news_table(book, lifter.lifter_id))
    return Page(
        answers=(answer_record(book, lifter),),
        blocks=tuple(blocks),
        folds=_counts_fold(book, lifter),
        method=_method(book),
        left_out=_left_out(book, lifter, strips, counts),
    )


def answer_record(book: PageBook, lifter: LifterInfo, folder: str = "") -> Answer:
    """The first answer about a lifter, for this page and the start page: counts, never guesses.

    folder : of the lifter's pages, as seen from the page that carries the answer.
    """
    strips = strip_frames(book, lifter)
    if strips is None:
        answer = say_nothing(book, lifter)
        return Answer(answer, words.say("record.nothing_second"))
    counts = count_record(book, lifter.lifter_id)
    if _is_young(strips):
        return _answer_young(book, lifter, counts, missing_questions(book, lifter.lifter_id))
    return Answer(_answer(strips, counts), _second(counts, folder) + _open_ended(strips))


def _is_young(strips: StripFrames) -> bool:
    return strips.count < YOUNG_WEEKS and strips.muscles["low"].is_null().all()


def _answer_young(
    book: PageBook, lifter: LifterInfo, counts: RecordCounts, missing: list[Missing]
) -> Answer:
    coming = [(m.weeks_more, m.question) for m in missing if m.weeks_more]
    named = [one for one in coming if words.has(f"record.mark_{one[1]}")]
    soonest = min(named, default=(None, ""))
    first: Text = ""
    if soonest[0] is not None:
        question = words.plain(f"record.mark_{soonest[1]}")
        first = words.say(
            "record.too_few_first", question=question, weeks=in_words(soonest[0], "week")
        )
    files = book.tables["source_file"].filter(pl.col("lifter_id") == lifter.lifter_id)
    second = words.say(
        "record.too_few_second",
        sessions=plural(counts.sessions, "session"),
        sets=count(counts.working_sets),
        set_aside=plural(int(files["set_aside"].sum()), "row"),
    )
    key = "record.too_few_one" if counts.weeks == 1 else "record.too_few"
    answer = words.say(key, weeks=capital(in_words(counts.weeks, "week")), first=first)
    return Answer(answer, second)


def _young(
    book: PageBook,
    lifter: LifterInfo,
    strips: StripFrames,
    counts: RecordCounts,
    missing: list[Missing],
) -> Page:
    return Page(
        answers=(_answer_young(book, lifter, counts, missing),),
        blocks=(
            begin_picture(book, lifter, strips, missing),
            *([missing_table(missing)] if missing else []),
            news_table(book, lifter.lifter_id),
        ),
        folds=_counts_fold(book, lifter),
        method=_method(book),
        left_out=_left_out(book, lifter, strips, counts),
    )


def _answer(strips: StripFrames, counts: RecordCounts) -> Markup:
    answered = strips.muscles.filter(pl.col("low").is_not_null())
    where: Text = words.say("record.no_range")
    if answered.height:
        recent = answered.select(pl.col("mean12").fill_null(0.0), "low", "high")
        places = [standing(*row) for row in recent.iter_rows()]
        below, above = places.count(BELOW), places.count(ABOVE)
        within = answered.height - below - above
        outside: list[Text] = []
        if below:
            outside.append(words.say("record.where_below", below=below))
        if above:
            outside.append(words.say("record.where_above", above=above))
        where = words.say(
            "record.where",
            within=within,
            answered=answered.height,
            outside=Markup("").join(outside),
        )
    months = months_between(strips.first, strips.last)
    values = {
        "span": capital(time_span(months)),
        "sets": count(counts.working_sets),
        "now": count(counts.week_now or 0),
        "where": where,
    }
    if counts.weeks < 2 * YOUNG_WEEKS:
        sessions = plural(counts.sessions, "session")
        return words.say("record.answer_within_a_year", sessions=sessions, **values)
    return words.say("record.answer", then=count(counts.week_then or 0), **values)


def _open_ended(strips: StripFrames) -> Text:
    """In how many of the answered muscles the range has no upper end."""
    answered = strips.muscles.filter(pl.col("low").is_not_null())
    open_ended = answered["high"].null_count()
    if open_ended == answered.height:
        return words.say("record.open_ended_all") if open_ended else ""
    return words.say("record.open_ended", open=open_ended) if open_ended else ""


def _second(counts: RecordCounts, folder: str) -> Markup:
    told = [
        _say_events(plural(counts.events[kind], kind), place and folder + place)
        for kind, place in _EVENTS.items()
        if counts.events.get(kind)
    ]
    values = {
        "weeks": count(counts.weeks),
        "trained": count(counts.trained),
        "layoff": count(counts.layoff),
        "unlogged": count(counts.unlogged),
    }
    if not told:
        return words.say("record.second_bare", **values)
    return words.say("record.second", events=Markup(", ").join(told), **values)


def _say_events(counted: str, place: str) -> Text:
    return Markup('<a href="{}">{}</a>').format(place, counted) if place else counted


def _counts_fold(book: PageBook, lifter: LifterInfo) -> tuple[tuple[str, tuple[object, ...]], ...]:
    tables = (
        year_table(book, lifter.lifter_id),
        lift_table(book, lifter),
        event_table(book, lifter.lifter_id),
    )
    filled = tuple(table for table in tables if table.rows)
    return ((words.plain("record.fold_counts"), filled),)


def _method(book: PageBook) -> tuple[object, ...]:
    parts = [words.say(f"record.method_{key}") for key in ("sets", "tone", "mean", "trained")]
    parts += [
        words.say("record.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)


def _left_out(
    book: PageBook, lifter: LifterInfo, strips: StripFrames, counts: RecordCounts
) -> tuple[object, ...]:
    """Weeks, sets and muscles that the answers leave out, each with its number."""
    sets = book.tables["tidy_set"].filter(
        (pl.col("lifter_id") == lifter.lifter_id) & ~pl.col("is_warmup")
    )
    parts: list[object] = []
    if counts.unlogged:
        weeks = plural(counts.unlogged, "week")
        parts.append(words.say("record.left_unlogged", weeks=weeks))
    for key, chosen in (
        ("doubted", pl.col("is_doubted")),
        ("unmatched", pl.col("exercise_id").str.starts_with(UNMATCHED)),
    ):
        number = sets.filter(chosen).height
        if number:
            parts.append(words.say(f"record.left_{key}", sets=plural(number, "set")))
    parts += _refused_ranges(book, lifter.lifter_id, strips)
    return tuple(parts) or (words.say("record.left_nothing"),)


def _refused_ranges(book: PageBook, lifter_id: str, strips: StripFrames) -> list[object]:
    refused = strips.muscles.filter(pl.col("low").is_null())
    if refused.is_empty():
        return []
    reasons = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter_id)
        & (pl.col("question") == "supported_sets")
        & (pl.col("support") == "not enough")
    )
    subjects = {f"muscle:{m}": name for m, name in refused.select("muscle_id", "name").iter_rows()}
    said = {
        row["subject"]: f"{subjects[row['subject']]}: {row['sentence']}"
        for row in reasons.iter_rows(named=True)
        if row["subject"] in subjects
    }
    names = ", ".join(refused["name"])
    return [Prose((words.say("record.left_ranges", muscles=names), *said.values()))]
