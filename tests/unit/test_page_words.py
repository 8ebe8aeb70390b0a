"""Texts of the pages: a question that the dictionary knows never stops a page for want of words."""

import pytest

from dashboards import words
from pipeline.core.dictionary import columns_of

QUESTIONS = next(c.values for c in columns_of("finding") if c.name == "question")


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_question_can_be_named_as_missing(question):
    assert words.has(f"record.question_{question}")
