"""Events on the pages: what is still to come is not counted, an injury is named once."""

from dataclasses import replace
from datetime import timedelta

import polars as pl
import pytest

from dashboards.prepare.counts import count_record, lifter_weeks
from dashboards.prepare.priorities.injuries import injury_table, list_injuries
from pipeline.core.dictionary import conform
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book


@pytest.fixture(scope="module")
def book() -> PageBook:
    return make_book()


@pytest.mark.parametrize(("days", "more"), [(6, 1), (7, 0)])
def test_a_phase_that_is_still_to_come_is_no_past_one(book: PageBook, days: int, more: int) -> None:
    before = count_record(book, "aspen").events
    start = lifter_weeks(book, "aspen")["week_start"][-1] + timedelta(days=days)
    phase = {
        "event_id": "accepted",
        "lifter_id": "aspen",
        "kind": "priority",
        "start": start,
        "end": start + timedelta(weeks=8),
        "subject": "chest",
        "evidence": "accepted",
    }
    events = pl.concat(
        [book.tables["tidy_event"], conform("tidy_event", pl.DataFrame([phase]))], how="diagonal"
    )
    told = count_record(replace(book, tables={**book.tables, "tidy_event": events}), "aspen")
    assert told.events == {**before, "priority": before.get("priority", 0) + more}


def test_an_injury_is_named_by_its_region_under_its_head(book: PageBook) -> None:
    injuries = list_injuries(book, "aspen")
    assert injuries
    table = injury_table(book, "aspen", injuries)
    assert table.columns[0].head == "injury"
    named = [str(row[0]) for row in table.rows]
    subjects = [one.event["subject"].replace("_", " ") for one in injuries]
    assert [name.casefold() for name in named] == subjects
    assert injuries[0].told == f"{named[0]}, {injuries[0].row['start'].year}"
