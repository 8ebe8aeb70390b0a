"""Volume and progress: which weekly sets went with progress, per muscle and training age."""

from dataclasses import replace
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Answer, Controls, Page, Prose, Row, Select, Text
from dashboards.charts.volume_response import MUSCLE
from dashboards.frame import say_nothing
from dashboards.numbers import capital, count, figure, plural
from dashboards.prepare.counts import lifter_weeks
from dashboards.prepare.missing import missing_questions
from dashboards.prepare.published import SETS_QUESTIONS, published_sets
from dashboards.prepare.record_tables import missing_table
from dashboards.prepare.stability import stability_folds
from dashboards.prepare.volume import (
    MuscleAnswer,
    muscle_answers,
    opening_muscle,
    say_age,
    say_range,
    seen_up_to,
)
from dashboards.prepare.volume_ahead import ahead_table
from dashboards.prepare.volume_frames import blocks_of, response_frames
from dashboards.prepare.volume_narrow import narrow_sentence, narrow_table
from dashboards.prepare.volume_pictures import age_picture, response_picture, summary_picture
from dashboards.prepare.volume_rows import age_frames, summary_frames
from dashboards.prepare.volume_shape import say_shape_method, shape_picture
from dashboards.prepare.volume_tables import curve_table, held_table, sets_table
from dashboards.told import told, told_counted
from pipeline.core.page_book import LifterInfo, PageBook


def build_page(book: PageBook, lifter: LifterInfo) -> Page:
    """The page of one lifter; the muscle chosen in it holds for all its pictures."""
    weeks = lifter_weeks(book, lifter.lifter_id)
    if weeks.is_empty():
        answer = Answer(say_nothing(book, lifter), "")
        return Page((answer,), (), ())
    answers = muscle_answers(book, lifter.lifter_id)
    if not any(one.bands for one in answers):
        return _young(book, lifter, answers, weeks)
    opening = opening_muscle(answers)
    blocks = blocks_of(book, lifter.lifter_id, answers)
    response = response_frames(book, lifter.lifter_id, answers, blocks)
    shown = opening.muscle_id
    pictures = (
        Row(
            (
                response_picture(response, answers, blocks, shown),
                age_picture(age_frames(answers, blocks), answers, shown),
            ),
            ("760fr", "400fr"),
        ),
        summary_picture(summary_frames(answers), answers, shown),
    )
    ahead = ahead_table(book, lifter.lifter_id, answers)
    agreed = narrow_sentence(book, lifter.lifter_id, answers)
    more = (
        shape_picture(book, response.curves, answers, shown),
        narrow_table(book, lifter.lifter_id, answers) if agreed is None else agreed,
        sets_table(book, lifter.lifter_id, answers),
        held_table(answers),
        ahead,
    )
    curves = curve_table(response.curves, answers)
    names = {("supported_sets", f"muscle:{one.muscle_id}"): capital(one.name) for one in answers}
    return Page(
        answers=_answers(answers, opening),
        blocks=(_control(answers, shown), *pictures, *(one for one in more if one is not None)),
        folds=(
            (words.plain("volume.fold_curve"), (curves,)),
            *_narrow_fold(book, lifter, answers, agreed is not None),
            *stability_folds(book, lifter.lifter_id, names),
            published_sets(book),
        ),
        method=_method(book, answers, ahead is not None),
        left_out=_left_out(answers, blocks, weeks),
    )


def _narrow_fold(
    book: PageBook, lifter: LifterInfo, answers: list[MuscleAnswer], is_agreed: bool
) -> tuple[tuple[str, tuple[object, ...]], ...]:
    """The table by muscle, where one sentence stands on the page in its place."""
    table = narrow_table(book, lifter.lifter_id, answers) if is_agreed else None
    if table is None:
        return ()
    return ((words.plain("volume.fold_narrow"), (replace(table, title=""),)),)


def _young(
    book: PageBook, lifter: LifterInfo, answers: list[MuscleAnswer], weeks: pl.DataFrame
) -> Page:
    """No muscle has an answer: what is missing, and what was done, which needs no inference."""
    missing = [m for m in missing_questions(book, lifter.lifter_id) if m.question in SETS_QUESTIONS]
    nearest = next((one for one in missing if one.question == "supported_sets"), None)
    why: Text = ""
    if nearest is not None and nearest.needs is not None:
        counts = {"has": count(nearest.has), "needs": count(nearest.needs)}
        why = words.say(
            "volume.none_why", **counts, of_what=told_counted(nearest.has, nearest.of_what)
        )
    number = sum(one.recent is not None for one in answers)
    sentence = words.say("volume.none", muscles=number, why=why)
    tables = [sets_table(book, lifter.lifter_id, answers)]
    if missing:
        tables.insert(0, missing_table(missing))
    if any(one.held and one.held["estimate"] is not None for one in answers):
        tables.append(held_table(answers))
    ahead = ahead_table(book, lifter.lifter_id, answers)
    tables += [] if ahead is None else [ahead]
    return Page(
        answers=(Answer(sentence, words.say("volume.none_second")),),
        blocks=(summary_picture(summary_frames(answers), answers, ""), *tables),
        folds=(published_sets(book),),
        method=_method(book, answers, ahead is not None),
        left_out=_left_out(answers, None, weeks),
    )


def _control(answers: list[MuscleAnswer], opening: str) -> Controls:
    options = tuple((one.muscle_id, one.name) for one in answers)
    return Controls((Select(MUSCLE, words.plain("volume.control_muscle"), options, opening),))


def _answers(answers: list[MuscleAnswer], opening: MuscleAnswer) -> tuple[Answer, ...]:
    """One answer a muscle, the opening one first."""
    ordered = [opening, *(one for one in answers if one is not opening)]
    return tuple(Answer(_sentence(one), _second(one), MUSCLE, one.muscle_id) for one in ordered)


def _sentence(answer: MuscleAnswer) -> Text:
    row = answer.now
    if row is None:
        return words.say("volume.answer_refused", muscle=answer.name, reason=answer.reason)
    values = {
        "muscle": answer.name
        if answer.is_no_better or answer.is_below_trained
        else capital(answer.name),
        "ages": say_age(row),
        "best": count(row["estimate"]),
        "low": count(row["low"]),
        "high": count(row["high"]),
        "range": say_range(row),
        "from": count(row["range_low"]),
        "upto": count(seen_up_to(row)),
        "trained": count(answer.trained_from or 0),
        **_prior_values(row),
    }
    if answer.is_no_better:
        return words.say("volume.answer_same", **values)
    if answer.is_below_trained:
        return words.say("volume.answer_below", **values)
    thin = "thin_" if row["support"] == "thin" else ""
    end = "open" if row["range_high"] is None else "closed"
    return words.say(f"volume.answer_{thin}{end}", **values)


def _second(answer: MuscleAnswer) -> Text:
    row = answer.now
    is_held = answer.held is not None and answer.held["estimate"] is not None
    held = told(answer.held["sentence"]) if answer.held and is_held else ""
    if row is None:
        return words.say("volume.second_refused", needs=told(answer.needs) or "-", held=held)
    is_told = not answer.is_no_better and row["prior_estimate"] is not None
    published = words.say("volume.second_published", **_prior_values(row)) if is_told else ""
    return words.say(
        "volume.second",
        range=say_range(row),
        edge_low=count(row["edge_low"]),
        edge_high=count(row["edge_high"]),
        coverage=count(100 * row["coverage"]),
        support=told(row["support"]),
        why=told(row["support_why"]),
        **{"from": _from_blocks(row)},
        published=published,
        held=held,
    )


def _from_blocks(row: dict[str, Any]) -> str:
    """The number of blocks, where the reason of the support does not give it already."""
    if row["support_why"].startswith(f"{count(row['n'])} blocks"):
        return ""
    return words.plain("volume.second_from", n=count(row["n"]), n_of=row["n_of"])


def _prior_values(row: dict[str, Any]) -> dict[str, str]:
    keys = {"prior": "prior_estimate", "prior_low": "prior_low", "prior_high": "prior_high"}
    values = {
        name: "" if row[column] is None else count(row[column]) for name, column in keys.items()
    }
    return {**values, "others": _say_others(row)}


def _say_others(row: dict[str, Any]) -> str:
    """The published average as other lifters of the folder move it; nothing without them."""
    if row["group_n"] is None:
        return ""
    return words.plain(
        "volume.others",
        number=count(row["group_n"]),
        moved=count(row["group_estimate"]),
        moved_low=count(row["group_low"]),
        moved_high=count(row["group_high"]),
    )


def _method(book: PageBook, answers: list[MuscleAnswer], has_forecast: bool) -> tuple[object, ...]:
    share = book.tables["ref_threshold"].filter(pl.col("threshold") == "supported_share")["value"]
    percent = f"{figure(100 * share[0])} %" if len(share) else ""
    keys = ("index", "blocks", "curve", "prior", "range", "age", "support", "opening")
    parts: list[object] = [words.say(f"volume.method_{key}", share=percent) for key in keys]
    others = max((row["group_n"] or 0 for one in answers for row in one.bands), default=0)
    if others:
        parts.insert(keys.index("range"), words.say("volume.method_group", number=count(others)))
    shape = say_shape_method(book)
    parts += [] if shape is None else [shape]
    if has_forecast:
        parts.append(words.say("lifts.method_forecast"))
    if any(one.bands for one in answers):
        parts.append(words.say("volume.method_pace"))
    parts += [
        words.say("volume.method_setting", name=name, value=value)
        for name, value in book.settings_shown.items()
    ]
    return tuple(parts)


def _left_out(
    answers: list[MuscleAnswer], blocks: pl.DataFrame | None, weeks: pl.DataFrame
) -> tuple[object, ...]:
    parts: list[object] = []
    refused = [one for one in answers if not one.bands]
    if refused:
        lines = [
            words.say(
                "volume.left_refused_row",
                muscle=capital(one.name),
                reason=one.reason,
                needs=told(one.needs),
            )
            for one in refused
        ]
        parts.append(Prose((words.say("volume.left_refused"), *lines)))
    unused = 0 if blocks is None else blocks.filter(~pl.col("is_used")).height
    if unused:
        parts.append(words.say("volume.left_blocks", blocks=count(unused)))
    status = weeks["week_status"]
    unlogged, layoff = int((status == "unlogged").sum()), int((status == "layoff").sum())
    if unlogged or layoff:
        gone = plural(unlogged, "week")
        parts.append(words.say("volume.left_weeks", weeks=capital(gone), layoff=count(layoff)))
    return tuple(parts) or (words.say("volume.left_nothing"),)
