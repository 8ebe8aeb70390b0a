"""The bars of reading, on files of invented strangers: kept maps, drafted maps, few questions.

Outside value: the invented sessions that the files were written from (``fixtures/strangers``), told
without any reader.
"""

from functools import cache
from pathlib import Path

import pytest

from fixtures.strangers.people import write_people
from tests.corpus import (
    CORPUS,
    LEAST_DRAFTED,
    LEAST_EXACT,
    MOST_ASKED,
    MOST_TONNAGE,
    MOST_WRONG,
    Drafted,
    Score,
    people,
    score_drafts,
    score_kept_maps,
)


@cache
def _kept(name: str) -> Score:
    return score_kept_maps(name)


@cache
def _drafted(name: str, with_answers: bool) -> Drafted:
    return score_drafts(name, with_answers)


def _check(score: Score) -> None:
    assert not score.refused
    assert score.n_days_wrong == 0
    assert score.within <= MOST_WRONG
    assert abs(score.tonnage_error) <= MOST_TONNAGE


@pytest.mark.parametrize("name", people())
def test_a_stranger_is_read_with_the_kept_map(name: str) -> None:
    _check(_kept(name))


@pytest.mark.parametrize("name", people())
def test_a_stranger_is_read_with_a_drafted_map_and_few_answers(name: str) -> None:
    plain = _drafted(name, False)
    assert len(plain.asked) <= MOST_ASKED
    if not plain.asked:  # with nothing to answer the draft stays what it is
        _check(plain.score)
        return
    answered = _drafted(name, True)
    _check(answered.score)
    assert set(answered.asked) >= set(plain.asked)


def test_sets_are_exact_for_most() -> None:
    names = people()
    exact = [name for name in names if _kept(name).is_exact]
    assert len(names) >= 14
    assert len(exact) >= LEAST_EXACT * len(names)


def test_most_drafts_are_right_without_a_question() -> None:
    names = people()
    plain = {name: _drafted(name, False) for name in names}
    silent = [name for name, one in plain.items() if one.score.is_exact and not one.asked]
    assert len(silent) >= LEAST_DRAFTED * len(names)


def test_committed_files_are_what_the_script_writes(tmp_path: Path) -> None:
    write_people(tmp_path)
    made = {path.relative_to(tmp_path): path for path in tmp_path.rglob("*") if path.is_file()}
    kept = {
        path.relative_to(CORPUS): path
        for path in CORPUS.rglob("*")
        if path.is_file() and path.suffix != ".toml"
    }
    assert made.keys() == kept.keys()
    for name, path in made.items():
        assert path.read_bytes() == kept[name].read_bytes(), name
