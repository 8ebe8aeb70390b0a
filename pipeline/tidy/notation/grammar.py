"""Set notation, second step: tokens become chains of terms (syntax only, no meaning yet).

The grammar, by recursive descent, one function a rule::

    text  = { group separator } group          separator = "," | ";" | newline | (next begins)
    group = chain { ( ">" | "drop" | "+" ) chain }
    chain = { side | warm-up } term { link term }
    link  = "x" | "@" | "at" | "with" | ":" | (a space)
    term  = load | item { ( "/" | "," ) item }
    load  = ( "bw" [ sign number ] | sign number | number ) [ unit ] [ "per hand" | "per side" ]
    item  = ( number | number "-" number | number "+" | time | number "s" | number "m" | "max" )
            { "+" number } { mark }
    mark  = RPE n | RIR n | n left | failure | side | warm-up | target n | in time | ( remark )

Lists in a term are repetitions (after ``x``, ``:`` or standing first) or loads (after ``@``, with
``/`` only). Which number is what is decided in meaning.py.
"""

from dataclasses import dataclass, field

from pipeline.tidy.notation.marks import (
    Marks,
    read_mark,
    read_range,
    read_rest_of_minute,
    read_side,
    read_target_unit,
)
from pipeline.tidy.notation.numbers import say_number
from pipeline.tidy.notation.records import Notation
from pipeline.tidy.notation.stream import LINKS, Stream
from pipeline.tidy.notation.tokens import tokenise

SEPARATORS = ("comma", "semicolon", "newline")


@dataclass
class Item:
    """One element of a term: a plain number, a plan, a duration or a distance, with its marks."""

    start: int
    number: float | None = None
    target: str | None = None
    duration_s: float | None = None
    distance_m: float | None = None
    pauses: list[float] = field(default_factory=list)
    marks: Marks = field(default_factory=Marks)


@dataclass
class Term:
    """Items between two links. ``sure`` names the field when the text itself says it."""

    start: int
    items: list[Item]
    sure: str | None = None
    unit: str | None = None
    basis: str | None = None


@dataclass
class Chain:
    """One entry as written: terms and the links between them; ``prefix`` holds for all of it."""

    start: int
    prefix: Marks
    terms: list[Term]
    links: list[str] = field(default_factory=list)


@dataclass
class Group:
    """A chain, or a parent and its drops; ``by_plus``: joined by ``+``, which has to be checked."""

    chains: list[Chain]
    by_plus: bool = False


def parse_groups(text: str, notation: Notation) -> list[Group]:
    """Syntax tree of ``text``.

    Raises
    ------
    NotationError
        where the text leaves the grammar.
    """
    stream = Stream(text, tokenise(text, notation), notation)
    groups: list[Group] = []
    while stream.take_if("newline"):
        pass
    while not stream.at("end"):
        groups.append(_group(stream))
        if stream.at(*SEPARATORS):
            stream.take()
            while stream.take_if("newline"):
                pass
        elif not stream.at("end") and not stream.starts_chain(0):
            raise stream.error("not understood here; separate sets by ',' and put remarks in ( )")
    return groups


def _group(stream: Stream) -> Group:
    group = Group([_chain(stream)])
    while True:
        if stream.at("comma") and stream.at("drop", ahead=1):
            stream.take()
        if stream.at("plus"):
            group.by_plus = True
        elif not stream.at("drop"):
            return group
        stream.take()
        group.chains.append(_chain(stream))


def _chain(stream: Stream) -> Chain:
    chain = Chain(stream.peek().start, _prefix(stream), [])
    chain.terms.append(_term(stream, by_comma=True))
    while (link := _link(stream, chain)) is not None:
        says_load = link == "with"
        term = _term(stream, by_comma=link in ("x", ":"))
        term.sure = "load" if says_load and term.sure is None else term.sure
        chain.links.append("@" if says_load else link)
        chain.terms.append(term)
    return chain


def _prefix(stream: Stream) -> Marks:
    marks = Marks()
    while stream.at("warmup") or stream.at("side", "left"):
        if stream.take_if("warmup"):
            marks.is_warmup = True
        else:
            read_side(stream, marks)
        stream.take_if("colon")
    return marks


def _link(stream: Stream, chain: Chain) -> str | None:
    """The link to the next term, taken from the stream; None at the end of the chain."""
    kind = stream.peek().kind
    if kind in LINKS:
        stream.take()
        return "with" if kind == "with" else LINKS[kind]
    if not stream.starts_number(0) or stream.at("plus"):
        return None
    if len(chain.terms) == 1 and chain.terms[0].sure == "load":
        return " "  # "100kg 3x8"
    if stream.opens_with_link(0):
        return None  # "100x8 100x7"
    says_load = stream.starts_chain(0)  # "3x8 100kg"
    if says_load or any(" " in form.links for form in stream.notation.forms):
        return " "
    raise stream.error("a number without 'x' or '@' before it: separate sets by ','")


def _term(stream: Stream, by_comma: bool) -> Term:
    if stream.at("bw", "plus", "dash"):
        return _signed_load(stream)
    start = stream.peek().start
    first = _item(stream)
    term = Term(start, [first])
    _annotate(stream, term)
    _read_marks(stream, first)
    if term.sure in (None, "reps"):
        _read_list(stream, term, by_comma)
    return term


def _signed_load(stream: Stream) -> Term:
    """``bw``, ``bw+10kg``, ``+10``, ``-20``: a load that says it is on or off the body weight."""
    has_bw, start = stream.at("bw"), stream.peek().start
    term = Term(start, [Item(start, number=0.0)], "load", None, "added")
    if has_bw:
        stream.take()
    if stream.at("plus", "dash") and stream.at("number", ahead=1):
        sign = stream.take()
        if sign.kind == "dash" and not has_bw and not stream.is_glued():
            raise stream.error("'- 20' may be a bullet or assistance: write '-20' or drop the '-'")
        term.basis = "assisted" if sign.kind == "dash" else "added"
        term.items[0].number = stream.take().number
        term.unit = stream.take().word if stream.at("unit") else None
    elif not has_bw:
        raise stream.error("a sign without a number after it: write e.g. '+10 x 8'")
    _read_marks(stream, term.items[0])
    return term


def _annotate(stream: Stream, term: Term) -> None:
    """Words right after a number that say what it is: a unit, per hand, sets, reps."""
    if term.items[0].number is None:
        term.sure = "reps"
    if stream.at("unit"):
        term.unit, term.sure = stream.take().word, "load"
    if stream.at("basis"):
        term.basis, term.sure = stream.take().word, "load"
    if term.sure != "load" and stream.at("sets", "reps"):
        term.sure = stream.take().kind


def _read_list(stream: Stream, term: Term, by_comma: bool) -> None:
    """Further elements: by ``/``, or by ``,`` where what follows is no entry of its own."""
    while _continues(stream, by_comma):
        stream.take()
        item = _item(stream)
        term.items.append(item)
        _read_marks(stream, item)


def _continues(stream: Stream, by_comma: bool) -> bool:
    if not stream.at("number", "time", "side", "left", "max", ahead=1):
        return False
    if stream.at("slash"):
        return True
    if not by_comma or not stream.is_list_sign():
        return False
    if _is_bare_at(stream, 1):
        raise stream.error(
            "a list before '@' may be one entry or two: write '3x8/8/7@100', or '1x7@100' apart"
        )
    return not stream.starts_chain(1)


def _is_bare_at(stream: Stream, ahead: int) -> bool:
    is_at = stream.at("number", ahead=ahead) and stream.at("at", ahead=ahead + 1)
    return is_at and not stream.is_effort(ahead + 1)


def opens_entry(text: str, notation: Notation) -> bool:
    """Whether ``text``, after a list and a comma, is clearly an entry of its own."""
    stream = Stream(text, tokenise(text, notation), notation)
    return stream.starts_chain(0) and not _is_bare_at(stream, 0)


def _item(stream: Stream) -> Item:
    marks = Marks()
    read_side(stream, marks)  # L10/R9
    token = stream.peek()
    if stream.take_if("max"):
        return Item(token.start, target="max", marks=marks)
    if not stream.at("number", "time"):
        raise stream.error("a number is missing here")
    stream.take()
    if token.kind == "time":
        return Item(token.start, duration_s=token.number, marks=marks)
    item = Item(token.start, number=token.number, marks=marks)
    _read_plan(stream, item)
    _read_measure(stream, item)
    return item


def _read_plan(stream: Stream, item: Item) -> None:
    """``8-10``, ``8 to 10`` and ``8+`` are plans; ``8+4+3`` is one set with pauses."""
    if not stream.at("dash", "to", "plus"):
        return
    low = say_number(item.number or 0.0)
    if stream.at("dash", "to") and stream.at("number", ahead=1):
        _refuse_uneven_sign(stream)
        item.number, item.target = None, read_range(stream, low)
    while stream.at("plus") and item.target is None:
        if not stream.starts_number(1):
            stream.take()
            item.number, item.target = None, f"{low}+"
        elif stream.opens_with_link(1):
            return  # a drop: the chain after it
        else:
            _refuse_uneven_sign(stream)
            stream.take()
            item.pauses.append(_pause(stream))


def _pause(stream: Stream) -> float:
    if not stream.at("number"):
        raise stream.error("repetitions are missing after '+', e.g. 8+4+3")
    return stream.take().number


def _refuse_uneven_sign(stream: Stream) -> None:
    """``8 -20``: a range, or a load off the body weight?"""
    if not stream.is_sign_even():
        raise stream.error("a sign that touches one number only: write '8-10' or separate by ','")


def _read_measure(stream: Stream, item: Item) -> None:
    """Seconds, minutes or metres after a number (or after a planned range)."""
    if item.target is not None:
        item.target += read_target_unit(stream)
        return
    if not stream.at("seconds", "minutes", "metres"):
        return
    kind, value = stream.take().kind, item.number or 0.0
    item.number = None
    if kind == "metres":
        item.distance_m = value
    elif kind == "seconds":
        item.duration_s = value
    else:
        item.duration_s = value * 60.0 + read_rest_of_minute(stream)


def _read_marks(stream: Stream, item: Item) -> None:
    while read_mark(stream, item.marks):
        pass
