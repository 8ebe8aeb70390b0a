"""Set notation: the syntax tree. Records only, no behaviour."""

from dataclasses import dataclass, field

from pipeline.tidy.notation.marks import Marks


@dataclass
class Item:
    """One element of a term: a plain number, a plan, a duration or a distance, with its marks.

    ``by_slash``: joined by ``/`` to the element before it, which may also be an order of numbers.
    """

    start: int
    number: float | None = None
    target: str | None = None
    duration_s: float | None = None
    distance_m: float | None = None
    pauses: list[float] = field(default_factory=list)
    marks: Marks = field(default_factory=Marks)
    by_slash: bool = False


@dataclass
class Term:
    """Items between two links. ``sure`` names the field when the text itself says it.

    ``by_comma``: some of its items are joined so. ``plates`` and ``bar`` belong to a load, whose
    number is what stands beside them.
    """

    start: int
    items: list[Item]
    sure: str | None = None
    unit: str | None = None
    basis: str | None = None
    plates: float | None = None
    bar: str | None = None
    by_comma: bool = False


@dataclass
class Chain:
    """One entry as written: terms and the links between them; ``prefix`` holds for all of it.

    With ``result`` the terms are a plan, and the result is what was done.
    """

    start: int
    prefix: Marks
    terms: list[Term]
    links: list[str] = field(default_factory=list)
    result: Term | None = None


@dataclass
class Group:
    """A chain, or a parent and its drops; ``by_plus``: joined by ``+``, which has to be checked.

    ``is_apart``: a sign stands between it and the entry before it.
    """

    chains: list[Chain]
    by_plus: bool = False
    is_apart: bool = True
