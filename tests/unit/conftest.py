"""Simulated records answered once for the whole session, and the book of the pages."""

import pytest

from pipeline.core.page_book import PageBook
from pipeline.models.simulate import CareerOptions, simulate_career
from tests.answered import Answered, answer_career
from tests.pages.book import make_book
from tests.simulated_record import any_prior


@pytest.fixture(scope="session")
def decade() -> Answered:
    """Ten logged years, reserve recorded from the fifth."""
    options = CareerOptions(years=10, rir_recorded_from=0.5, n_gym_changes=1)
    return answer_career(simulate_career(11, options), any_prior())


@pytest.fixture(scope="session")
def two_years() -> Answered:
    """Two short years: most questions are not enough."""
    options = CareerOptions(years=1.6, sessions_per_week=3, n_layoffs=0, n_injuries=0)
    return answer_career(simulate_career(12, options), any_prior())


@pytest.fixture(scope="session")
def book() -> PageBook:
    """The invented book."""
    return make_book()
