"""Set notation, second step: the terms of a chain.

The rules, as in grammar.py::

    term  = load | item { ( "/" | "," | "-" ) item }
    load  = ( "bw" [ sign number ] | sign number | bar [ "+" weight ] | weight ) [ basis ]
    weight = number [ unit ] | [ number ] "plates" [ basis ] [ "+" number [ unit ] ]
    item  = ( number | number "-" number | number "+" | time | number "s" | number "m" | "max"
            | "x" | "f" ) { ( "+" | "rp" ) number } { mark }
    mark  = RPE n | RIR n | n left | failure | side | warm-up | target n | in time | bar | kit
          | remark

Lists in a term are repetitions (after ``x``, ``:`` or standing first) or loads (after ``@``, with
``/`` or ``-`` only).
"""

from pipeline.tidy.notation.load_terms import bar_or_plates, signed_load
from pipeline.tidy.notation.marks import (
    Marks,
    read_marks,
    read_range,
    read_rest_of_minute,
    read_side,
    read_target_unit,
)
from pipeline.tidy.notation.numbers import say_number
from pipeline.tidy.notation.stream import LINKS, Stream
from pipeline.tidy.notation.tree import Item, Term


def read_term(
    stream: Stream, by_comma: bool, is_first: bool = True, n_sets: float | None = None
) -> Term:
    """The next term; ``by_comma``: a comma may continue a list in it.

    ``n_sets``: the number before it, with which a list of as many goes together.

    Raises
    ------
    NotationError
        where the text leaves the grammar.
    """
    if stream.at("bw", "plus", "dash"):
        return signed_load(stream)
    if stream.at("bar", "plates") or stream.at("plates", ahead=1):
        return bar_or_plates(stream)
    if stream.is_pair_of_weights():
        pair = Term(stream.peek().start, [Item(stream.peek().start)], "load", None, "per_hand")
        pair.items[0].number = stream.take().number
        stream.take()
        return pair
    if stream.is_short_fail(0):
        raise stream.error("failed or done to failure? write '0', or 'max to failure'")
    start, by_dash = stream.peek().start, stream.is_dash_run()
    first = _item(stream, by_dash)
    term = Term(start, [first])
    _annotate(stream, term)
    read_marks(stream, first.marks)
    if term.sure in (None, "reps"):
        _read_list(stream, term, by_comma, by_dash, is_first, n_sets)
    if len(term.items) > 1 and stream.at("unit") and not term.by_comma:
        term.unit, term.sure = stream.take().word, "load"  # "165-175-185 lb"
    return term


def read_result(stream: Stream, is_plan: bool) -> Term | None:
    """What was done, after a plan: ``did 9, 9, 8``, or ``: 9, 9, 8`` after a planned range."""
    if stream.at("comma", "semicolon", "newline") and stream.at("did", ahead=1):
        stream.take()
    if stream.take_if("did"):
        stream.take_if("colon")
    elif not is_plan or not stream.take_if("colon"):
        return None
    term = Term(stream.peek().start, [], "reps")
    by_dash = stream.is_dash_run()
    while True:
        item = _item(stream, by_dash)
        stream.take_if("reps")
        read_marks(stream, item.marks)
        term.items.append(item)
        if _continues(stream, True, by_dash, True):
            stream.take()
        elif not stream.at("number") or stream.starts_chain(0):
            return term


def is_bare_at(stream: Stream, ahead: int) -> bool:
    """Whether ``8@`` begins there, an RPE left out."""
    is_at = stream.at("number", ahead=ahead) and stream.at("at", ahead=ahead + 1)
    return is_at and not stream.is_effort(ahead + 1)


def _annotate(stream: Stream, term: Term) -> None:
    """Words right after a number that say what it is: a unit, per hand, sets, reps."""
    if term.items[0].number is None or term.items[0].pauses:
        term.sure = "reps"
    if stream.at("unit"):
        term.unit, term.sure = stream.take().word, "load"
    if stream.at("basis"):
        term.basis, term.sure = stream.take().word, "load"
    if term.sure != "load" and stream.at("sets", "reps"):
        term.sure = stream.take().kind


def _read_list(
    stream: Stream, term: Term, by_comma: bool, by_dash: bool, is_first: bool, n_sets: float | None
) -> None:
    """Further elements: by ``/``, or by ``,`` where what follows is no entry of its own."""
    while _continues(stream, by_comma, by_dash, is_first or len(term.items) + 1 == n_sets):
        sign = stream.take()
        if stream.at("x") and stream.at("number", ahead=1):
            stream.take()  # "100x5, x5, x4"
        item = _item(stream, by_dash)
        item.by_slash = sign.kind == "slash"
        term.by_comma = term.by_comma or sign.kind not in ("slash", "dash", "listed")
        term.items.append(item)
        read_marks(stream, item.marks)


def _continues(stream: Stream, by_comma: bool, by_dash: bool, is_first: bool) -> bool:
    is_next = stream.at("number", "time", "side", "left", "max", ahead=1)
    is_next = is_next or (stream.at("x", ahead=1) and not stream.is_slash_apart())
    if not is_next:
        return False
    if stream.at("slash"):
        if stream.has_slashes and stream.is_load(1):
            return False
        return not (stream.is_slash_apart() and stream.starts_pair(1))
    if stream.at("listed"):
        return True
    if stream.at("dash"):
        return by_dash
    if not by_comma or not stream.is_list_sign():
        return False
    if is_bare_at(stream, 1):
        if is_first:
            return True  # "8, 8, 7 @ 60"
        raise stream.error(
            "a list before '@' may be one entry or two: write '3x8/8/7@100', or '1x7@100' apart"
        )
    if stream.starts_slashes(1):
        return False  # "80/5, 80/5"
    return not stream.starts_chain(1) and not (stream.has_pairs and stream.starts_pair(1))


def _item(stream: Stream, by_dash: bool = False) -> Item:
    marks = Marks()
    read_side(stream, marks)  # L10/R9
    token = stream.peek()
    if stream.take_if("max"):
        return Item(token.start, target="max", marks=marks)
    if stream.at("x") and stream.at("number", "time", ahead=1):
        raise stream.error("a number is missing before this")
    if stream.at("x", "miss") or stream.is_short_fail(0):
        stream.take()  # a set of which no repetition was done
        marks.to_failure = True
        return Item(token.start, number=0.0, marks=marks)
    if not stream.at("number", "time"):
        if stream.at("unit"):
            raise stream.error("a unit without its number: write it in front, such as '8x60kg'")
        raise stream.error("a number is missing here")
    stream.take()
    if token.kind == "time":
        return Item(token.start, duration_s=token.number, marks=marks)
    item = Item(token.start, number=token.number, marks=marks)
    if not by_dash or stream.at("plus"):
        _read_plan(stream, item)
    _read_pauses(stream, item)
    _read_measure(stream, item)
    return item


def _read_plan(stream: Stream, item: Item) -> None:
    """``8-10``, ``8 to 10`` and ``8+`` are plans; ``8+4+3`` is one set with pauses."""
    if not stream.at("dash", "to", "plus"):
        return
    low = say_number(item.number or 0.0)
    if stream.is_dash_apart() and stream.is_load(1):
        return  # "3x8 - 60kg"
    if stream.at("dash", "to") and stream.at("number", ahead=1):
        _refuse_uneven_sign(stream)
        item.number, item.target = None, read_range(stream, low)
    while stream.at("plus") and item.target is None and not stream.is_added():
        if stream.at("bar", ahead=1) and stream.at(*LINKS, ahead=2):
            raise stream.error("the bar stands first: write 'bar + 20 x 8'")
        if stream.at("bar", ahead=1) or not stream.starts_number(1):
            stream.take()
            item.number, item.target = None, f"{low}+"
        elif stream.opens_with_link(1):
            return  # a drop: the chain after it
        elif stream.is_short_fail(2):
            _read_failed(stream, item)
        else:
            _refuse_uneven_sign(stream)
            stream.take()
            item.pauses.append(_pause(stream))


def _read_failed(stream: Stream, item: Item) -> None:
    """``4+1f``: four done, the fifth failed."""
    if stream.peek(1).number != 1:
        raise stream.error("failed or done after a pause? write '4+1f', or '8+2 to failure'")
    for _ in range(3):
        stream.take()
    item.marks.to_failure = True


def _read_pauses(stream: Stream, item: Item) -> None:
    """``8 rp 3 2``, ``8 rp 3, 2``, ``8 rp 3 rp 2``: the same as ``8+3+2``.

    ``8+3+2 rp`` says it twice.
    """
    if item.number is None or not stream.at("pause"):
        return
    while stream.take_if("pause"):
        while stream.at("number") and not stream.starts_chain(0):
            item.pauses.append(stream.take().number)
            if stream.is_list_sign() and stream.is_bare(1) and not stream.at("pause", ahead=2):
                stream.take()  # "rp 3, 2"
            elif stream.at("slash") and stream.at("number", ahead=1):
                raise stream.error("further pauses or further sets? write '8+3+2' for pauses")
            elif stream.at("plus") and stream.at("number", ahead=1):
                stream.take()
    if not item.pauses:
        raise stream.error("repetitions are missing after the pause, e.g. 8+4+3")


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
    token, value = stream.take(), item.number or 0.0
    item.number = None
    if token.kind == "metres":
        item.distance_m = value * float(token.word)
        if stream.at("time"):
            item.marks.duration_s = stream.take().number  # "2000 m 7:30"
    elif token.kind == "seconds":
        item.duration_s = value
    else:
        item.duration_s = value * 60.0 + read_rest_of_minute(stream)
