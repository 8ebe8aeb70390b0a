"""The start page: each lifter's first answer, an index of questions, and when the refresh ran."""

from dashboards import words
from dashboards.blocks import Answer, Entry, Page
from dashboards.catalogue import pages_of
from dashboards.frame import horizon_of
from dashboards.numbers import capital, count, in_words, plural, say_moment
from dashboards.pages.record import answer_record
from dashboards.prepare.lifter_list import lifter_list
from dashboards.prepare.news import news_line
from dashboards.prepare.questions import chapters_of
from pipeline.core.page_book import LifterInfo, PageBook

# Of more lifters than this a table is given in place of an entry each: one weighs up to 40 kB, and
# nobody looks through a hundred.
MOST_ENTRIES = 12


def build_page(book: PageBook) -> Page:
    """The start page of the book."""
    files = book.tables["source_file"]
    lifters = capital(in_words(len(book.lifters), "lifter"))
    answer = words.say(
        "index.answer",
        lifters=lifters,
        files=plural(files.height, "file"),
        read=count(int(files["read"].sum())),
    )
    second = words.say("index.second", moment=say_moment(book.last_run))
    return Page((Answer(answer, second),), _lifters(book), (words.say("index.method"),))


def _lifters(book: PageBook) -> tuple[object, ...]:
    if len(book.lifters) <= MOST_ENTRIES:
        return tuple(_entry(book, lifter) for lifter in book.lifters)
    return (lifter_list(book, {one.lifter_id: pages_of(one)[0].file for one in book.lifters}),)


def _entry(book: PageBook, lifter: LifterInfo) -> Entry:
    answer = answer_record(book, lifter, f"{lifter.lifter_id}/")
    pages = pages_of(lifter)
    return Entry(
        title=lifter.name,
        file=pages[0].file,
        horizon=horizon_of(book, lifter.lifter_id),
        sentence=answer.sentence,
        second=answer.second + news_line(book, lifter),
        chapters=chapters_of(book, lifter, pages),
    )
