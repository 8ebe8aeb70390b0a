"""Set notation: the ways in which the same numbers may hang together.

``60 8 8 7`` is four terms, or a load and a list; ``100/5/3`` is a list, or three terms. Which of
them is meant depends on the order of numbers, so an order is tried on each view.
"""

from collections.abc import Iterator
from dataclasses import replace

from pipeline.tidy.notation.marks import MAX_RPE
from pipeline.tidy.notation.tree import Chain, Term

FEWEST = 3  # "60 x 10 10 10": fewer may be repetitions and a rating


def list_views(chain: Chain) -> Iterator[Chain]:
    """The chain as it stands, and with numbers side by side as one list of repetitions."""
    yield chain
    for first in (1, 0):
        joined = _join_run(chain, first)
        if joined is not None:
            yield joined


def all_views(chain: Chain) -> Iterator[Chain]:
    """As ``list_views``, and with each ``/`` as a link: only an order that states it means that."""
    yield from list_views(chain)
    if any(item.by_slash for term in chain.terms for item in term.items):
        yield _split_slashes(chain)


def _join_run(chain: Chain, first: int) -> Chain | None:
    """Terms linked by spaces made one list, from the ``first``-th term of the run on.

    The run stands at the end (``60 8 8 7``) or is all there is before ``@`` (``8 8 7 @ 60``), the
    load and its ``x`` aside (``60 x 8 8 7``).
    """
    if " " not in chain.links:
        return None
    begin = chain.links.index(" ") + first
    end = begin
    while end < len(chain.links) and chain.links[end] == " ":
        end += 1
    run = chain.terms[begin : end + 1]
    rest = chain.links[end:]
    is_long = len(run) >= FEWEST or all((term.items[0].number or 0) > MAX_RPE for term in run)
    is_after_x = is_long and chain.links[begin - 1 : begin] in (["x"], [":"])
    is_whole = not rest if first else ((begin == 0 or is_after_x) and rest in ([], ["@"]))
    if len(run) < 2 or not is_whole or not all(_may_be_listed(term) for term in run):
        return None
    items = [item for term in run for item in term.items]
    joined = Term(run[0].start, items, run[0].sure)
    terms = [*chain.terms[:begin], joined, *chain.terms[end + 1 :]]
    return replace(chain, terms=terms, links=[*chain.links[:begin], *chain.links[end:]])


def _may_be_listed(term: Term) -> bool:
    return term.sure in (None, "reps") and term.unit is None and term.basis is None


def _split_slashes(chain: Chain) -> Chain:
    terms: list[Term] = []
    links: list[str] = []
    for i, term in enumerate(chain.terms):
        links.extend([chain.links[i - 1]] if i else [])
        parts = _parts(term)
        terms.extend(parts)
        links.extend(["/"] * (len(parts) - 1))
    return replace(chain, terms=terms, links=links)


def _parts(term: Term) -> list[Term]:
    parts = [replace(term, items=term.items[:1])]
    for item in term.items[1:]:
        if item.by_slash:
            parts.append(Term(item.start, [item]))
        else:
            parts[-1] = replace(parts[-1], items=[*parts[-1].items, item])
    return parts
