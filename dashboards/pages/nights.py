"""Nights and sessions: which signals go with the next sessions; most say nothing."""

from datetime import timedelta

import polars as pl

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Text
from dashboards.frame import LifterWeeks, say_nothing, weeks_of
from dashboards.numbers import count
from dashboards.prepare.easing import is_answered
from dashboards.prepare.nights import (
    QUESTION,
    Row,
    SignalRow,
    find_family,
    list_signals,
    readings_of,
)
from dashboards.prepare.nights_pictures import forest_picture, level_picture
from dashboards.prepare.nights_tables import by_year_table, say_effect
from dashboards.prepare.published import published_facts, published_table
from dashboards.prepare.stability import stability_folds
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; counts stand below whatever can be told."""
    lifter_id = lifter.lifter_id
    calendar = weeks_of(book, lifter_id)
    if calendar is None:
        return Page((Answer(say_nothing(book, lifter), ""),), (), ())
    family, signals = find_family(book, lifter_id), list_signals(book, lifter_id)
    readings = readings_of(book, lifter_id)
    answer = Answer(_sentence(family, signals), _second(family))
    return Page(
        answers=(answer,),
        blocks=_blocks(book, lifter_id, signals, readings, calendar, answer.sentence),
        folds=(
            *_published(book),
            *stability_folds(book, lifter_id, _checked_names(signals)),
        ),
        method=_method(signals),
        left_out=_left_out(signals),
        caution=words.say("nights.caution"),
    )


def _blocks(
    book: PageBook,
    lifter_id: str,
    signals: list[SignalRow],
    readings: pl.DataFrame,
    calendar: LifterWeeks,
    answer: Text,
) -> tuple[object, ...]:
    blocks: list[object] = []
    if signals:
        blocks.append(forest_picture(book, lifter_id, signals, answer))
    else:
        blocks.append(Prose((words.say("nights.how_to_begin"),), words.plain("nights.begin_title")))
    end = calendar.first + timedelta(weeks=calendar.weeks)
    within = readings.filter(pl.col("date").is_between(calendar.first, end, closed="left"))
    if within.height:
        blocks.append(level_picture(book, lifter_id, within, calendar))
    blocks.append(by_year_table(book, lifter_id, readings))
    return tuple(blocks)


def _sentence(family: Row | None, signals: list[SignalRow]) -> Text:
    """The answer: what stands, that nothing does, or why it cannot be told."""
    if family is None:
        return words.say("nights.answer_none")
    if not is_answered(family):
        return words.say("nights.answer_refused", why=told(family["support_why"]))
    standing = [one for one in signals if one.is_standing]
    values = {"tested": count(family["n"]), "n": _sessions(signals)}
    if not standing:
        return words.say("nights.answer_nothing", **values)
    first = standing[0]
    side = words.plain("nights.higher" if first.tone == "progress" else "nights.lower")
    more = words.plain(f"nights.more_{first.signal}", when=first.when)
    is_alone = family["estimate"] == 1
    return words.say(
        "nights.answer_one" if is_alone else "nights.answer_some",
        tone=first.tone,
        side=side,
        more=more[:1].upper() + more[1:] if is_alone else more,
        standing=count(family["estimate"]),
        tested=values["tested"],
        **say_effect(first),
    )


def _sessions(signals: list[SignalRow]) -> str:
    return count(max((one.finding["n"] for one in signals), default=0))


def _second(family: Row | None) -> Text:
    """How many would stand by chance, or what would answer it."""
    if family is None:
        return words.say("nights.second_none")
    if not is_answered(family):
        return words.say("nights.second_refused", needs=told(family["needs"]))
    # How many stand is the answer's own; what follows says against what they were counted.
    counted = str(family["sentence"]).split(". ", 1)[-1]
    return words.say("nights.second", sentence=told(counted))


def _published(book: PageBook) -> tuple[tuple[str, tuple[object, ...]], ...]:
    if published_facts(book, QUESTION).is_empty():
        return ()
    table = published_table(book, words.plain("nights.published_title"), QUESTION)
    note = Prose((words.say("nights.published_note"),))
    return ((words.plain("nights.fold_published"), (note, table)),)


def _checked_names(signals: list[SignalRow]) -> dict[tuple[str, str], str]:
    """What a finding is called in the table of its checks."""
    return {(QUESTION, one.finding["subject"]): one.full_name for one in signals}


def _method(signals: list[SignalRow]) -> tuple[object, ...]:
    keys = ("does", "equation", "letters", "error", "screen", "device", "blind", "support")
    parts = [words.say(f"nights.method_{key}") for key in keys]
    known = [one for one in signals if one.model is not None and one.signal == "sleep_min"]
    if known:
        assert known[0].model is not None
        share = f"{count(100 * known[0].model['reliability'])} %"
        parts.append(words.say("nights.method_share", share=share))
    return tuple(parts)


def _left_out(signals: list[SignalRow]) -> tuple[object, ...]:
    """What the tests do not use, and the signals that could not be tested."""
    parts: list[object] = [
        words.say(
            "nights.left_refused",
            name=one.name,
            when=one.when,
            why=told(one.finding["support_why"]),
        )
        for one in signals
        if one.swing is None
    ]
    keys = ("stress", "reserve", "stages", "easy")
    return (*parts, *(words.say(f"nights.left_{key}") for key in keys))
