"""The start page: the lifters, each one's first answer, links, and when the refresh ran."""

from dashboards import words
from dashboards.blocks import Answer, Entry, Page
from dashboards.catalogue import pages_of
from dashboards.frame import horizon_of
from dashboards.numbers import capital, count, in_words, plural, say_moment
from dashboards.pages.record import answer_record
from dashboards.prepare.news import news_line
from pipeline.core.page_book import LifterInfo, PageBook


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
    entries = tuple(_entry(book, lifter) for lifter in book.lifters)
    return Page((Answer(answer, second),), entries, (words.say("index.method"),))


def _entry(book: PageBook, lifter: LifterInfo) -> Entry:
    answer = answer_record(book, lifter, f"{lifter.lifter_id}/")
    pages = pages_of(lifter)
    return Entry(
        title=lifter.name,
        file=pages[0].file,
        horizon=horizon_of(book, lifter.lifter_id),
        sentence=answer.sentence,
        second=answer.second + news_line(book, lifter),
        links=tuple((page.file, page.title) for page in pages),
    )
