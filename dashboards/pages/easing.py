"""Easing off: what followed deloads and layoffs, against matched ordinary weeks."""

from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Answer, Page, Prose, Row, Text
from dashboards.frame import LifterWeeks, say_nothing, weeks_of
from dashboards.numbers import amount, count, interval, plural, signed
from dashboards.prepare.easing import (
    EasingCounts,
    count_easing,
    count_evidence,
    deloads_read,
    find_answer,
    has_effects,
    is_answered,
    layoffs_read,
    tone_of,
)
from dashboards.prepare.easing import Row as Finding
from dashboards.prepare.easing_pictures import (
    fan_picture,
    layoff_picture,
    pace_picture,
    year_picture,
)
from dashboards.prepare.easing_tables import (
    back_table,
    by_year_table,
    pauses_table,
    say_layoffs,
)
from dashboards.prepare.missing import missing_questions
from dashboards.prepare.published import published_table
from dashboards.prepare.record_tables import missing_table
from dashboards.prepare.stability import stability_folds
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook

QUESTIONS = ("deload_effect", "layoff_loss", "layoff_regain")


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; counts stand below whatever can be told."""
    lifter_id = lifter.lifter_id
    calendar = weeks_of(book, lifter_id)
    if calendar is None:
        return Page((Answer(say_nothing(book, lifter), ""),), (), ())
    counts = count_easing(book, lifter_id)
    deload, loss, _ = (find_answer(book, lifter_id, one) for one in QUESTIONS)
    read = layoffs_read(book, lifter_id, counts)
    is_drawn = has_effects(book, lifter_id)
    layoffs = "" if is_drawn else say_layoffs(loss, read)
    answer = Answer(_sentence(deload), _second(deload, layoffs, counts))
    pictures: list[object] = []
    if is_drawn:  # the picture of the layoffs has their sentence
        fan = fan_picture(book, lifter_id, deload, answer.sentence)
        drawn = layoff_picture(book, lifter_id, counts, loss)
        pictures = [Row((fan, drawn), ("700fr", "444fr"))]
    return Page(
        answers=(answer,),
        blocks=(*pictures, *_blocks(book, lifter_id, counts, calendar)),
        folds=(
            *stability_folds(book, lifter_id, _checked_names(lifter_id)),
            _published(book),
        ),
        method=_method(book),
        left_out=_left_out(book, lifter_id, counts),
    )


def _checked_names(lifter_id: str) -> dict[tuple[str, str], str]:
    """What the findings that are checked are called."""
    return {
        (question, f"lifter:{lifter_id}"): words.plain(f"easing.checked_{question}")
        for question in ("deload_effect", "layoff_loss")
    }


def _blocks(
    book: PageBook, lifter_id: str, counts: EasingCounts, calendar: LifterWeeks
) -> tuple[object, ...]:
    deload, _, regain = (find_answer(book, lifter_id, one) for one in QUESTIONS)
    blocks: list[object] = []
    if deloads_read(book, lifter_id).height:
        blocks.append(year_picture(book, lifter_id, counts, calendar))
    missing = [m for m in missing_questions(book, lifter_id) if m.question in QUESTIONS]
    if missing and not is_answered(deload):
        blocks.append(missing_table(missing))
    if counts.deloads.height or counts.rests.height or counts.layoffs.height:
        blocks.append(pauses_table(book, lifter_id, counts))
    if counts.deloads.height:
        back = back_table(book, lifter_id, counts, regain)
        blocks.append(Row((pace_picture(book, counts), back), ("1fr", "1fr")))
    blocks.append(by_year_table(book, lifter_id, counts))
    return tuple(blocks)


def _sentence(finding: Finding | None) -> Text:
    """The answer: clear, open or refused, with the finding's numbers."""
    if finding is None:
        return words.say("easing.answer_none")
    if not is_answered(finding):
        return words.say("easing.answer_refused", why=told(finding["support_why"]))
    said = interval(finding["low"], finding["high"])
    tone = tone_of(finding["low"], finding["high"])
    if not tone:
        change = signed(finding["estimate"])
        return words.say("easing.answer_open", change=change, interval=said)
    side = words.plain("easing.higher" if tone == "progress" else "easing.lower")
    size = amount(abs(finding["estimate"]))
    return words.say("easing.answer_clear", tone=tone, size=size, side=side, interval=said)


def _second(deload: Finding | None, layoffs: Text, counts: EasingCounts) -> Text:
    apart = Markup(" ") + layoffs if layoffs else ""
    values = {"evidence": _evidence(counts), "layoffs": apart}
    if not is_answered(deload):
        asked = (deload or {}).get("needs")
        needs = words.say("easing.needs", needs=told(asked)) if asked else Markup("")
        return words.say("easing.second_refused", needs=needs, **values)
    assert deload is not None
    return words.say(
        "easing.second",
        n=count(deload["n"]),
        n_of=told(deload["n_of"]),
        support=told(deload["support"]),
        why=told(deload["support_why"]),
        **values,
    )


def _evidence(counts: EasingCounts) -> Text:
    """How the deloads are known."""
    kinds = count_evidence(counts)
    values = {kind: plural(number, "deload") for kind, number in kinds.items()}
    if not counts.deloads.height:
        return Markup("")
    if not kinds["rule"]:
        return words.say("easing.evidence_told", **values)
    if not kinds["told"]:
        return words.say("easing.evidence_rule", **values)
    return words.say("easing.evidence", **values)


def _published(book: PageBook) -> tuple[str, tuple[object, ...]]:
    table = published_table(book, words.plain("easing.published_title"), *QUESTIONS)
    note = Prose((words.say("easing.published_note"),))
    return words.plain("easing.fold_published"), (note, table)


def _method(book: PageBook) -> tuple[object, ...]:
    keys = (
        "strength",
        "match",
        "fake",
        "lines",
        "textbook",
        "single",
        "kinds",
        "layoffs",
        "regain",
        "detect",
    )
    parts = [words.say(f"easing.method_{key}") for key in keys]
    parts += [
        words.say("easing.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)


def _left_out(book: PageBook, lifter_id: str, counts: EasingCounts) -> tuple[object, ...]:
    """Deloads and layoffs without a reading, distances left out, splits that nothing carries."""
    parts: list[object] = []
    deloads = counts.deloads.height - deloads_read(book, lifter_id).height
    layoffs = counts.layoffs.height - layoffs_read(book, lifter_id, counts).height
    gaps = max(counts.deloads.height - 1, 0) - len(counts.every.values)
    if deloads:
        said = plural(deloads, "deload")
        parts.append(words.say("easing.left_deloads", deloads=said))
    if layoffs:
        said = plural(layoffs, "layoff")
        parts.append(words.say("easing.left_layoffs", layoffs=said))
    if gaps:
        parts.append(words.say("easing.left_gaps", gaps=plural(gaps, "distance")))
    parts.append(words.say("easing.left_splits"))
    return tuple(parts)
