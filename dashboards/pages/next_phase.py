"""Next phase: proposed weekly sets with reason and support, as a week to train by."""

from typing import Any

from dashboards import words
from dashboards.blocks import Answer, Contents, Controls, Page, Row, Select, When
from dashboards.frame import say_nothing
from dashboards.numbers import count
from dashboards.prepare.counts import lifter_weeks
from dashboards.prepare.missing import missing_questions
from dashboards.prepare.names import muscle_names
from dashboards.prepare.next_phase.pictures import (
    grid_picture,
    limit_picture,
    proposal_name,
    proposal_picture,
)
from dashboards.prepare.next_phase.plans import accept_note, plan_blocks
from dashboards.prepare.next_phase.proposals import (
    LEARNING,
    Proposed,
    heads_of_proposals,
    read_proposals,
)
from dashboards.prepare.next_phase.say import VERSION, answer_of, conflict_note, narrow_note
from dashboards.prepare.next_phase.tables import constraint_table, keep_table, lift_table
from dashboards.prepare.next_phase.week import week_name, week_section
from dashboards.prepare.published import SETS_QUESTIONS, published_sets
from dashboards.prepare.record_tables import missing_table
from dashboards.prepare.volume import muscle_answers
from dashboards.prepare.volume_tables import sets_table
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; counts and what is missing where nothing can be proposed."""
    if lifter_weeks(book, lifter.lifter_id).is_empty():
        return Page((Answer(say_nothing(book, lifter), ""),), (), ())
    proposals = read_proposals(book, lifter)
    accepted = plan_blocks(book, lifter.lifter_id)
    caution = words.say("next_phase.caution")
    if not proposals:
        answer = Answer(words.say("next_phase.none"), words.say("next_phase.none_second"))
        return Page((answer,), (*_counts(book, lifter), *accepted), _method(), caution=caution)
    return Page(
        answers=tuple(answer_of(one) for one in proposals),
        blocks=(*_versions(book, lifter, proposals), *accepted),
        folds=(published_sets(book),),
        method=_method(),
        left_out=_left_out(book, lifter, proposals[0]),
        caution=caution,
    )


def _versions(book: PageBook, lifter: LifterInfo, proposals: list[Proposed]) -> tuple[object, ...]:
    """One proposal, or a choice between the two."""
    if len(proposals) == 1:
        return _blocks(book, lifter, proposals[0])
    options = tuple(
        (one.version, words.plain(f"next_phase.version_{one.version}")) for one in proposals
    )
    label = words.plain("next_phase.control_version")
    select = Select(VERSION, label, options, proposals[0].version)
    shown = (When(VERSION, one.version, _blocks(book, lifter, one)) for one in proposals)
    return (Controls((select,)), *shown)


def _blocks(book: PageBook, lifter: LifterInfo, one: Proposed) -> tuple[object, ...]:
    lifter_id = lifter.lifter_id
    heads = heads_of_proposals(book, lifter_id)
    which = str(heads[LEARNING]["narrows_muscle"]) if LEARNING in heads else ""
    names = muscle_names(book)
    blocks: tuple[Any, ...] = (
        _contents(one),
        conflict_note(one),
        proposal_picture(one),
        limit_picture(one, lifter.next_phase.weekly_sets is not None),
        week_section(one, lifter),
        accept_note(book, one),
        _changes(one),
        narrow_note(heads, names.get(which, which)),
        constraint_table(book, lifter_id),
        keep_table(book, lifter, one),
        *(_missing(book, lifter_id) if one.is_published else ()),
    )
    return tuple(block for block in blocks if block is not None)


def _contents(one: Proposed) -> Contents:
    """Links for whoever wants the week at once, on a phone in the gym."""
    entries = (
        (proposal_name(one), words.plain("next_phase.proposal_title")),
        (week_name(one), words.plain("next_phase.week_title")),
    )
    return Contents(words.plain("frame.contents"), entries)


def _changes(one: Proposed) -> object:
    """Muscles week by week, beside the lifts that change."""
    grid, lifts = grid_picture(one), lift_table(one)
    return lifts if grid is None else Row((grid, lifts), ("620fr", "540fr"))


def _missing(book: PageBook, lifter_id: str) -> tuple[object, ...]:
    missing = [m for m in missing_questions(book, lifter_id) if m.question in SETS_QUESTIONS]
    return (missing_table(missing),) if missing else ()


def _counts(book: PageBook, lifter: LifterInfo) -> tuple[object, ...]:
    """What is missing, and the weekly sets that were done."""
    answers = muscle_answers(book, lifter.lifter_id)
    return (*_missing(book, lifter.lifter_id), sets_table(book, lifter.lifter_id, answers))


def _method() -> tuple[object, ...]:
    keys = ("expected", "week", "limits", "why", "reps", "weeks", "narrow", "held")
    parts = [words.say(f"next_phase.method_{key}") for key in keys]
    return (*parts, words.say("volume.method_pace"))


def _left_out(book: PageBook, lifter: LifterInfo, one: Proposed) -> tuple[object, ...]:
    """Muscles without sets in two years, which belong to no plan; rare lifts."""
    shown = set(book.tables["ref_muscle"].filter("is_shown")["muscle_id"])
    absent = sorted(shown - set(one.muscles["muscle_id"]))
    names = muscle_names(book)
    parts: list[object] = []
    if absent:
        listed = ", ".join(names[muscle] for muscle in absent)
        parts.append(words.say("next_phase.left_muscles", n=count(len(absent)), names=listed))
    parts.append(words.say("next_phase.left_lifts"))
    return tuple(parts)
