"""Methods: what each model does, assumes and cannot see, its equations, and what it reached."""

import polars as pl

from dashboards import words
from dashboards.blocks import Answer, Contents, Page, Section
from dashboards.numbers import capital, count, in_words, plural
from dashboards.prepare.methods import (
    SECTIONS,
    figure_blocks,
    left_out_section,
    model_section,
    never_section,
    other_figures,
    recovery_of,
)
from pipeline.core.page_book import PageBook


def build_page(book: PageBook) -> Page:
    """The page; the same for all lifters of a folder."""
    sections = [model_section(book, name) for name in SECTIONS]
    others = other_figures(book)
    if others.height:
        title = words.plain("methods.other_title")
        sections.append(Section("others", title, figure_blocks(others)))
    sections += [left_out_section(book), never_section()]
    contents = Contents(
        words.plain("methods.contents"), tuple((one.name, one.title) for one in sections)
    )
    return Page(
        answers=(_answer(recovery_of(book)),),
        blocks=(contents, *sections),
        method=(),
        caution=words.say("methods.caution"),
    )


def _answer(figures: pl.DataFrame) -> Answer:
    methods = capital(in_words(len(SECTIONS), "method"))
    sentence = words.say("methods.answer", methods=methods)
    if figures.is_empty():
        return Answer(sentence, words.say("methods.second_none"))
    asked = figures["is_met"].drop_nulls()
    second = words.say(
        "methods.second_measured",
        figures=plural(figures.height, "figure"),
        met=count(int(asked.sum())),
        asked=count(len(asked)),
    )
    return Answer(sentence, second)
