"""Priorities: what phases for chosen muscles bought and cost, and what other sets went into."""

from dataclasses import replace

from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Contents, Fold, Page, Prose, Section, Table, Text
from dashboards.frame import say_nothing, weeks_of
from dashboards.numbers import plural
from dashboards.prepare.missing import missing_questions
from dashboards.prepare.priorities import effort, injuries, variants
from dashboards.prepare.priorities.answer import say_answer, say_second
from dashboards.prepare.priorities.balance import balance_findings, balance_picture, panel_title
from dashboards.prepare.priorities.body import (
    body_table,
    held_rows,
    proposal_table,
    say_least,
)
from dashboards.prepare.priorities.find import Phase, Row, find_all, list_phases, own
from dashboards.prepare.priorities.ledger import ledger_picture, muscle_table
from dashboards.prepare.priorities.shares import share_picture
from dashboards.prepare.record_tables import missing_table
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook

QUESTIONS = (
    "priority_gain",
    "priority_cost",
    "balance",
    "hold_sets",
    "effort",
    "variant",
    "injury",
)


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; counts stand below whatever can be told."""
    lifter_id = lifter.lifter_id
    if weeks_of(book, lifter_id) is None:
        return Page((Answer(say_nothing(book, lifter), ""),), (), ())
    gain, cost = find_all(book, lifter_id)
    phases = list_phases(book, lifter_id)
    proposed = own(book, lifter_id, "tidy_proposal").height
    answer = Answer(say_answer(gain, cost, len(phases), proposed), say_second(gain, cost, phases))
    parts = [
        *_phase_parts(book, lifter_id, phases, answer),
        *_spent_parts(book, lifter_id, phases),
        *_injury_parts(book, lifter_id),
    ]
    links = tuple((name, words.plain(f"priorities.to_{name}")) for name, _ in parts)
    contents = Contents(words.plain("frame.contents"), links)
    missing = [m for m in missing_questions(book, lifter_id) if m.question in QUESTIONS]
    return Page(
        answers=(answer,),
        blocks=(
            *((contents,) if len(parts) > 1 else ()),
            *(block for _, blocks in parts for block in blocks),
            *((missing_table(missing),) if missing else ()),
        ),
        folds=_folds(book, phases),
        method=_method(),
        left_out=_left_out(book, lifter_id, phases),
        caution=words.say("priorities.caution"),
    )


Part = tuple[str, tuple[object, ...]]


def _phase_parts(book: PageBook, lifter_id: str, phases: list[Phase], answer: Answer) -> list[Part]:
    """The ledger, and stretches that look like a phase."""
    parts: list[Part] = []
    if phases:
        parts.append(("ledger", (ledger_picture(book, phases, answer.sentence),)))
    else:
        said = (words.say("priorities.how_told"), words.say("priorities.how_line"))
        parts.append(
            ("how", (Section("how", words.plain("priorities.how_title"), (Prose(said),)),))
        )
    asked = proposal_table(book, lifter_id)
    if asked is not None:
        bare = replace(asked, title="")
        parts.append(("proposals", (Section("proposals", asked.title, (bare,)),)))
    return parts


def _spent_parts(book: PageBook, lifter_id: str, phases: list[Phase]) -> list[Part]:
    """What sets went into: shares, balance, girths, least sets, effort, variants."""
    parts: list[Part] = []
    for name, picture in (
        ("shares", share_picture(book, lifter_id)),
        ("balance", balance_picture(book, lifter_id)),
    ):
        if picture is not None:
            parts.append((name, (picture,)))
    body, held = body_table(book, lifter_id, phases), held_rows(book, lifter_id)
    if body is not None:
        parts.append(_folded("body", words.say("priorities.body_note"), body))
    if held:
        title = words.plain("priorities.held_title")
        parts.append(("held", (Section("held", title, (Prose((say_least(held),)),)),)))
    found = effort.effort_findings(book, lifter_id)
    if found:
        parts.append(("effort", (_effort_section(book, lifter_id, found),)))
    carried = variants.carry_table(book, lifter_id)
    used = variants.use_table(book, lifter_id)
    if used is not None:
        parts.append(("variants", (_variant_section(book, lifter_id, carried, used),)))
    return parts


def _folded(name: str, said: Text, table: Table) -> Part:
    """A part of one sentence with its table behind a line."""
    fold = Fold(words.plain(f"priorities.{name}_fold"), (table,))
    section = Section(name, words.plain(f"priorities.{name}_title"), (Prose((said,)), fold))
    return name, (section,)


def _effort_section(book: PageBook, lifter_id: str, found: dict[str, Row]) -> Section:
    """Tables of what could be told; where nothing could, one line, and the counts behind a fold."""
    parts = (
        (effort.KINDS, effort.kind_table(found)),
        (effort.WAYS, effort.progress_table(found)),
    )
    told_of = {key for key, row in found.items() if row["estimate"] is not None}
    tables = [table for keys, table in parts if told_of & set(keys)]
    drops = effort.say_drops(found)
    counts = (effort.year_table(book, lifter_id), effort.lift_table(book, lifter_id))
    inside = tuple(one for one in counts if one is not None)
    return Section(
        "effort",
        words.plain("priorities.effort_title"),
        (
            *(tables or (Prose((words.say("priorities.effort_none"),)),)),
            *((Prose((drops,), words.plain("priorities.drops_title")),) if drops else ()),
            *((Fold(words.plain("priorities.effort_fold"), inside),) if inside else ()),
        ),
    )


def _variant_section(book: PageBook, lifter_id: str, carried: Table | None, used: Table) -> Section:
    told, clear = variants.say_carried(book, lifter_id)
    key = "variants_told" if clear else "variants_open" if told else "variants_none"
    said = words.say(f"priorities.{key}", told=plural(told, "pair"), clear=plural(clear, "pair"))
    inside = (used, *((carried,) if carried is not None else ()))
    fold = Fold(words.plain("priorities.variants_fold"), inside)
    return Section("variants", words.plain("priorities.variants_title"), (Prose((said,)), fold))


def _injury_parts(book: PageBook, lifter_id: str) -> list[Part]:
    listed = injuries.list_injuries(book, lifter_id)
    if not listed:
        return []
    out = injuries.say_constraints(book, lifter_id)
    fold = Fold(
        words.plain("priorities.injuries_fold"),
        (injuries.lift_table(book, listed),),
    )
    blocks = (
        Prose((injuries.say_injuries(listed), words.say("priorities.clinician"), *out)),
        injuries.injury_table(book, lifter_id, listed),
        injuries.muscle_table(book, listed),
        fold,
    )
    return [("injuries", (Section("injuries", words.plain("priorities.injuries_title"), blocks),))]


def _folds(book: PageBook, phases: list[Phase]) -> tuple[tuple[str, tuple[object, ...]], ...]:
    if not any(one.is_told for one in phases):
        return ()
    return ((words.plain("priorities.fold_muscles"), (muscle_table(book, phases),)),)


def _method() -> tuple[object, ...]:
    keys = (
        "gain",
        "why",
        "interval",
        "placebo",
        "propose",
        "share",
        "balance",
        "effort",
        "variant",
        "injury",
    )
    return tuple(words.say(f"priorities.method_{key}") for key in keys)


def _left_out(book: PageBook, lifter_id: str, phases: list[Phase]) -> tuple[object, ...]:
    """Phases and pairs that could not be read, with the reason, and what no record can tell."""
    parts: list[Markup] = [
        words.say(
            "priorities.left_phase",
            name=one.name,
            year=one.start.year,
            why=told(one.gain["support_why"]),
        )
        for one in phases
        if not one.is_told
    ]
    parts += [
        words.say(
            "priorities.left_pair",
            pair=panel_title(pair, kind),
            why=told(row["support_why"]),
        )
        for (pair, kind), row in balance_findings(book, lifter_id).items()
        if row["estimate"] is None
    ]
    return (*parts, *(words.say(f"priorities.left_{key}") for key in ("size", "scale", "common")))
