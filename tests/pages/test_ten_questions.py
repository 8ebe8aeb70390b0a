"""Ten questions of a lifter about a decade, each answered by one choice on the start page.

What a stranger needs is held to what can be counted: the words of the question on the start page,
an answer in the first screen that the link opens, and its length. 70 words take 18 s at the 238
words a minute at which adults read English silently (Brysbaert, Journal of Memory and Language 109,
2019, 104047: the mean of 190 studies; figure from memory), which leaves 12 s of half a minute for
finding the question, one click and the page. Whether a person finds the question is not tested.
"""

from typing import NamedTuple

import pytest
from playwright.sync_api import expect

from tests.pages.conftest import Reader, loose

MOST_WORDS = 70


class Asked(NamedTuple):
    """The row of the index, the link in it, where the answer stands, and words that answer."""

    question: str
    link: str
    place: str
    answer: tuple[str, ...]


QUESTIONS = (
    Asked(
        "rose most since",
        "2019",
        "#changes .sentence",
        ("January 2019 to August 2026: of 8 lifts none surely rose",),
    ),
    Asked(
        "progress fastest",
        "calves",
        "h1",
        ("Calves progressed most surely at", "(16 to 22)"),
    ),
    Asked("progress fastest", "calves", ".second", ("Support fair", "edges may lie")),
    Asked("priority phases", "", "h1", ("bought the chosen muscles", "cost to the other muscles")),
    Asked("followed deloads", "", "h1", ("higher", "(+0.2 to +1.6)")),
    Asked("followed weeks off", "", "#layoffs .sentence", ("After 4 weeks off", "% (")),
    Asked("as much pulling", "", "#balance .sentence", ("rows and pulldowns than presses",)),
    Asked("through injuries", "", "#injuries .prose", ("fell clearly in 2 of 2",)),
    Asked("nights go with", "", "h1", ("An hour more sleep", "over 412 sessions")),
    Asked("What next", "", "h1", ("chest, quads and traps up", "Expected")),
    Asked("could not be read", "", "#aside + .table", ("load without a unit",)),
)


@pytest.mark.parametrize("size", ["wide", "phone"])
@pytest.mark.parametrize("asked", QUESTIONS, ids=lambda asked: f"{asked.question} {asked.place}")
def test_a_question_is_answered_by_one_choice(reader: Reader, asked: Asked, size: str) -> None:
    page = reader.open("index.html", size=size).page
    row = page.locator(".entry", has_text="Aspen").locator("dd", has_text=asked.question)
    row.get_by_role("link", name=asked.link, exact=bool(asked.link)).click()
    answer = page.locator(f"{asked.place}:visible").first
    expect(answer).to_be_in_viewport()
    for words in asked.answer:  # waited for: the page's script brings in what was chosen
        expect(answer).to_contain_text(words)
    assert len(loose(answer.inner_text()).split()) <= MOST_WORDS
