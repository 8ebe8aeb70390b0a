"""Which pages a book has, and the writing of one of them."""

from dataclasses import replace
from importlib import import_module

from dashboards import words
from dashboards.assemble import assemble_page
from dashboards.frame import PageId, book_frame, lifter_frame, say_week_start
from dashboards.prepare.in_style import in_style, page_style
from dashboards.prepare.traces import trace_fold
from dashboards.theme.chart import unchecked
from pipeline.core.page_book import LifterInfo, PageBook

# Kinds in menu order. Each is a module of dashboards.pages with ``build_page``.
LIFTER_PAGES = (
    "record",
    "volume",
    "lifts",
    "easing",
    "priorities",
    "nights",
    "next_phase",
    "annual",
    "state",
)
GROUP_PAGES: tuple[str, ...] = ("group",)
INDEX, METHODS = "index", "methods"


def list_pages(book: PageBook) -> list[PageId]:
    """Every page of the book: those about all lifters, then each lifter's."""
    with words.written(book.style):
        pages = common_pages(book)
        for lifter in book.lifters:
            pages += pages_of(lifter)
        return pages


def common_pages(book: PageBook) -> list[PageId]:
    """The start page, the group's where there are two lifters or more, and the methods."""
    kinds = (INDEX, *(GROUP_PAGES if len(book.lifters) > 1 else ()), METHODS)
    return [_common_page(kind) for kind in kinds]


def pages_of(lifter: LifterInfo) -> list[PageId]:
    """The pages of one lifter, in menu order."""
    folder = lifter.lifter_id
    return [_page(kind, f"{folder}/{kind}.html", folder) for kind in LIFTER_PAGES]


def menu_of(lifter: LifterInfo) -> list[PageId]:
    """What the menu of a lifter's pages leads to: the start page, the lifter's own, Methods."""
    return [_common_page(INDEX), *pages_of(lifter), _common_page(METHODS)]


def _common_page(kind: str) -> PageId:
    return _page(kind, f"{kind}.html")


def _page(kind: str, file: str, lifter_id: str | None = None) -> PageId:
    return PageId(file, words.plain(f"frame.page_{kind}"), kind, lifter_id)


def render_page(page: PageId, book: PageBook) -> str:
    """The HTML text of one page; the same book gives the same bytes.

    Raises
    ------
    KeyError
        when the book has no lifter or table that the page needs.
    """
    lifter = next((one for one in book.lifters if one.lifter_id == page.lifter_id), None)
    with words.written(page_style(book, lifter)), unchecked():
        return _write_page(page, in_style(book))


def _write_page(page: PageId, book: PageBook) -> str:
    build = import_module(f"dashboards.pages.{page.kind}").build_page
    if page.lifter_id is None:
        made, frame, whose = build(book), book_frame(book, page, common_pages(book)), book.lifters
    else:
        lifter = next(one for one in book.lifters if one.lifter_id == page.lifter_id)
        made, whose = build(book, lifter), (lifter,)
        frame = lifter_frame(book, page, menu_of(lifter))
    if made.method:
        made = replace(made, method=(*made.method, *say_week_start(book, whose)))
    folds = (*made.folds, *trace_fold(book, page.kind, page.lifter_id))
    return assemble_page(replace(made, folds=folds), frame)
