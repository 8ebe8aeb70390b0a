"""Wherever a page draws something published, its fold gives the source and how it was read."""

from functools import cache
from importlib import import_module

import pytest

from dashboards.assemble import pictures_of
from dashboards.blocks import Table
from dashboards.catalogue import GROUP_PAGES, LIFTER_PAGES
from dashboards.theme.colours import PRIOR
from pipeline.core.dictionary import columns_of
from tests.pages.book import make_book

BOOK = make_book()
STATUS = set(next(one for one in columns_of("ref_fact") if one.name == "status").values)
KINDS = (*LIFTER_PAGES, *GROUP_PAGES)


@cache
def build(kind: str):
    """The invented lifter's page of this kind, or that of the group."""
    page = import_module(f"dashboards.pages.{kind}").build_page
    return page(BOOK) if kind in GROUP_PAGES else page(BOOK, BOOK.lifters[0])


def draws_published(page) -> bool:
    return any(key.colour == PRIOR for one in pictures_of(page.blocks) for key in one.keys)


def source_tables(page) -> list[Table]:
    tables = [one for _, body in page.folds for one in body if isinstance(one, Table)]
    return [one for one in tables if {c.head for c in one.columns} >= {"source", "how it was read"}]


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_drawn_as_published_has_source_and_status(kind):
    page = build(kind)
    tables = source_tables(page)
    assert tables or not draws_published(page)
    for table in tables:
        assert table.rows
        heads = [column.head for column in table.columns]
        for row in table.rows:
            assert row[heads.index("source")]
            assert row[heads.index("how it was read")] in STATUS


def test_the_pages_that_draw_published_values_are_known():
    assert {"volume", "lifts", "easing"} <= {kind for kind in KINDS if draws_published(build(kind))}
