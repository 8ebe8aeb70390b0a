"""Pages with expected progress and with levels a year ahead say why the two do not agree."""

import pytest

from dashboards import words
from dashboards.pages import lifts, next_phase, volume
from pipeline.core.page_book import PageBook


@pytest.mark.parametrize("page", [lifts, next_phase, volume])
def test_the_method_says_that_the_two_are_two_questions(book: PageBook, page) -> None:
    said = [str(one) for one in page.build_page(book, book.lifters[0]).method]
    assert said.count(str(words.say("volume.method_pace"))) == 1
