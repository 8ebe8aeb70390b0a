"""Parts worked on ahead of their use: in order, few at once, errors passed on."""

from threading import Barrier

import pytest

from pipeline.flows.ahead import N_THREADS, work_ahead


def test_parts_come_back_in_order_with_what_was_made_of_them():
    assert list(work_ahead(range(20), lambda n: n * n)) == [(n, n * n) for n in range(20)]


def test_no_part_is_no_work():
    assert list(work_ahead([], len)) == []


def test_only_a_few_parts_are_taken_before_they_are_used():
    taken = []

    def take():
        for n in range(50):
            taken.append(n)
            yield n

    for n, _ in work_ahead(take(), str):
        assert len(taken) - n <= N_THREADS + 1


def test_two_parts_are_worked_on_at_once():
    both = Barrier(2, timeout=30)
    assert len(list(work_ahead(range(2), lambda _: both.wait()))) == 2


def test_an_error_of_the_work_comes_when_its_part_would():
    done = work_ahead([2, 1, 0, 3], lambda n: 1 / n)
    assert [next(done)[0], next(done)[0]] == [2, 1]
    with pytest.raises(ZeroDivisionError):
        next(done)


def test_an_error_of_taking_parts_is_passed_on():
    def take():
        yield 1
        raise ValueError("no more")

    with pytest.raises(ValueError, match="no more"):
        list(work_ahead(take(), str))
