"""Set notation, second step: loads that say they are one, by a sign, a bar or plates."""

from pipeline.tidy.notation.marks import read_marks
from pipeline.tidy.notation.records import PLATES_COUNT
from pipeline.tidy.notation.stream import Stream
from pipeline.tidy.notation.tree import Item, Term

PLATES_REMEDY = (
    "plates on each side or in all? write '2 plates per side', or set load.plates in the map to "
    '"per side" or "in all"'
)


def signed_load(stream: Stream) -> Term:
    """``bw``, ``bw+10kg``, ``+10``, ``-20``: a load that says it is on or off the body weight."""
    has_bw, start = stream.at("bw"), stream.peek().start
    term = Term(start, [Item(start, number=0.0)], "load", None, "added")
    if has_bw:
        stream.take()
    is_signed = stream.at("plus", "dash") and stream.at("number", ahead=1)
    if is_signed and not (has_bw and stream.is_list_after_dash()):
        sign = stream.take()
        if sign.kind == "dash" and not has_bw and not stream.is_glued():
            raise stream.error("'- 20' may be a bullet or assistance: write '-20' or drop the '-'")
        term.basis = "assisted" if sign.kind == "dash" else "added"
        term.items[0].number = stream.take().number
        term.unit = stream.take().word if stream.at("unit") else None
    elif not has_bw:
        raise stream.error("a sign without a number after it: write e.g. '+10 x 8'")
    read_marks(stream, term.items[0].marks)
    return term


def bar_or_plates(stream: Stream) -> Term:
    """``bar``, ``bar + 20``, ``ez bar + 10 per side``; ``2 plates per side + 5``."""
    start = stream.peek().start
    term = Term(start, [Item(start, number=0.0)], "load")
    if stream.at("bar"):
        term.bar = stream.take().word
        if stream.is_weight(1) and stream.take_if("plus"):
            _weight(stream, term)
    else:
        _weight(stream, term)
    if term.plates is not None and term.basis is None:
        term.basis = PLATES_COUNT.get(stream.notation.plates or "")
    if term.plates is not None and term.basis not in PLATES_COUNT.values():
        raise stream.error(PLATES_REMEDY)
    term.basis = term.basis or ("on_bar" if term.bar is not None else None)
    read_marks(stream, term.items[0].marks)
    return term


def _weight(stream: Stream, term: Term) -> None:
    """A number with its unit, or plates and what is beside them; then what they count."""
    is_counted = stream.at("number") and stream.at("plates", ahead=1)
    if stream.at("plates") or is_counted:
        count = stream.take().number if is_counted else 1.0
        term.plates = float(stream.take().word or count)
        _basis(stream, term)
        if not (stream.at("plus") and stream.at("number", ahead=1)):
            return
        stream.take()
    term.items[0].number = stream.take().number
    term.unit = stream.take().word if stream.at("unit") else None
    _basis(stream, term)


def _basis(stream: Stream, term: Term) -> None:
    if stream.at("basis"):
        term.basis = stream.take().word
