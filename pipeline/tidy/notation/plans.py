"""Set notation: a plan, and what was done of it."""

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import replace

from pipeline.tidy.notation.numbers import say_number
from pipeline.tidy.notation.records import NotationError
from pipeline.tidy.notation.tree import Chain, Item, Term


def item_of(term: Term, i: int) -> Item:
    """The element of a list for set ``i``, from 0; a single element is for all sets."""
    return term.items[i if len(term.items) > 1 else 0]


def as_plan(item: Item) -> Item:
    """``goal 3x8``: repetitions that were only planned."""
    if item.number is None:
        return item
    return replace(item, number=None, target=say_number(item.number))


def with_results(
    chain: Chain, reps: Term, n: int, refuse: Callable[[int, str], NotationError]
) -> Iterator[tuple[Item, int]]:
    """What was done in each set, with the place in the plan that it belongs to.

    Without a result that is what the chain itself says. A result may have fewer or more sets than
    were planned; each carries the plan of its place.

    Raises
    ------
    NotationError
        where it is unclear which plan a result belongs to, or the plan is none of repetitions.
    """
    if chain.result is None:
        is_plan = [item.target not in (None, "max") for item in reps.items]
        if is_plan[0] and not all(is_plan):
            raise refuse(reps.start, "a plan and results in one list? write '3x8-10: 9, 9, 8'")
        yield from ((item_of(reps, i), i) for i in range(n))
        return
    is_list = max(len(term.items) for term in chain.terms) > 1
    if is_list and len(chain.result.items) != n:
        raise refuse(
            chain.result.start,
            f"{len(chain.result.items)} results for {n} planned sets that differ: write each apart",
        )
    for i, done in enumerate(chain.result.items):
        planned = as_plan(item_of(reps, i))
        if planned.target is None or planned.pauses or planned.marks.target is not None:
            raise refuse(chain.result.start, "a result after a plan that is none of repetitions")
        marks = deepcopy(done.marks)
        marks.target = planned.target
        marks.notes = [*planned.marks.notes, *marks.notes]
        yield replace(done, marks=marks), i
