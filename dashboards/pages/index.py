"""The start page: the lifters, each one's first answer, links, and when the refresh ran."""

from dashboards import words
from dashboards.blocks import Answer, Page
from pipeline.core.page_book import PageBook


def build_page(book: PageBook) -> Page:
    """The start page of the book."""
    return Page((Answer(words.say("index.answer"), ""),), (), ())
