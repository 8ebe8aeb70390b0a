"""Set notation, second step: tokens become chains of terms (syntax only, no meaning yet).

The grammar, by recursive descent, one function a rule (terms are in terms.py)::

    text   = { group separator } group     separator = "," | ";" | newline | " / " | (next begins)
    group  = chain { ( ">" | "drop" | "+" ) chain }
    chain  = { side | warm-up | target | bar | kit } term { link term } [ result ]
    link   = "x" | "@" | "at" | "with" | ":" | (a space)
    result = ( "did" | ":" after a planned range ) item { ( "," | "/" | a space ) item }

Which number is what is decided in meaning.py.
"""

from pipeline.tidy.notation.marks import MAX_RPE, Marks, read_kit, read_side
from pipeline.tidy.notation.records import Notation
from pipeline.tidy.notation.stream import LINKS, LONGEST_LOOK, MOST_LISTED, Stream
from pipeline.tidy.notation.terms import is_bare_at, read_result, read_term
from pipeline.tidy.notation.tokens import tokenise
from pipeline.tidy.notation.tree import Chain, Group

SEPARATORS = ("comma", "semicolon", "newline")
MOST_SETS = 12  # more are a load
FEW_SETS = 6
PAIR_AT = (
    "two sets, or sets and repetitions? write '5, 4 @ 80' or '5x4 @ 80', or state 'reps @ load' or "
    "'sets reps @ load' in [notation] order of the map"
)
MAX_TERMS = 40  # numbers side by side in one entry; more are no list of sets


def parse_groups(text: str, notation: Notation) -> list[Group]:
    """Syntax tree of ``text``.

    Raises
    ------
    NotationError
        where the text leaves the grammar.
    """
    stream = Stream(text, tokenise(text, notation), notation)
    groups: list[Group] = []
    is_apart, is_warmup = True, False
    while stream.take_if("newline"):
        pass
    while not stream.at("end"):
        group = _group(stream)
        group.is_apart = is_apart
        is_warmup = is_warmup or group.chains[0].prefix.heads_warmups
        for chain in group.chains if is_warmup else ():
            chain.prefix.is_warmup = True
        groups.append(group)
        is_apart = stream.at(*SEPARATORS) or stream.is_slash_apart()
        if is_apart:
            is_warmup = is_warmup and not stream.at("newline") and not _ends_part(stream)
            stream.take()
            while stream.take_if("newline"):
                pass
        elif not (stream.at("end") or stream.starts_chain(0) or stream.starts_slashes(0)):
            raise stream.error("not understood here; separate sets by ',' and put remarks in ( )")
    return groups


def _ends_part(stream: Stream) -> bool:
    """A semicolon, unless it stands between sets because the comma is the decimal sign."""
    return stream.at("semicolon") and stream.notation.decimal != ","


def opens_entry(text: str, notation: Notation) -> bool:
    """Whether ``text``, after a list and a comma, is clearly an entry of its own."""
    stream = Stream(text, tokenise(text, notation), notation)
    return stream.starts_chain(0) and not is_bare_at(stream, 0)


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
    chain.terms.append(read_term(stream, by_comma=True))
    while (link := _link(stream, chain)) is not None:
        says_load, says_sets = link == "with", _is_times(stream, chain)
        n_sets = chain.terms[-1].items[0].number if link == "x" else None
        term = read_term(stream, link in ("x", ":", " "), is_first=False, n_sets=n_sets)
        term.sure = "load" if says_load and term.sure is None else term.sure
        term.sure = "sets" if says_sets and term.sure is None else term.sure
        chain.links.append("@" if says_load else link)
        chain.terms.append(term)
        if len(chain.terms) > MAX_TERMS:
            raise stream.error(f"more than {MAX_TERMS} numbers in a row: separate sets by ','")
    chain.result = read_result(stream, _is_plan(chain) or _is_counted(stream, chain))
    if chain.result is not None and stream.at("at", "with") and not _has_load(chain):
        stream.take()  # "3x8-10: 9, 9, 8 @ 60"
        chain.terms.append(read_term(stream, by_comma=False, is_first=False))
        chain.links.append("@")
    return chain


def _is_counted(stream: Stream, chain: Chain) -> bool:
    """``3x8: 8, 8, 7``: so few sets, and as many repetitions listed behind."""
    n = chain.terms[0].items[0].number
    if chain.links != ["x"] or not stream.at("colon") or n is None or not 1 < n <= FEW_SETS:
        return False
    kinds = [stream.peek(1 + i).kind for i in range(2 * int(n))]
    is_list = all(kind == "number" for kind in kinds[::2])
    signs = {*kinds[1:-1:2]}
    return is_list and len(signs) == 1 and signs <= {"comma", "slash"} and kinds[-1] not in signs


def _is_plan(chain: Chain) -> bool:
    return any(item.target is not None for term in chain.terms for item in term.items)


def _prefix(stream: Stream) -> Marks:
    marks = Marks()
    while stream.at("warmup", "side", "left", "target", "kit") or stream.is_bar_apart():
        if stream.take_if("warmup"):
            marks.is_warmup = True
            marks.heads_warmups = stream.at("colon")
        elif stream.take_if("target"):
            marks.is_plan = True
        elif stream.at("kit"):
            read_kit(stream, marks)
            if stream.at("number") and stream.at("seconds", ahead=1):
                raise stream.error("seconds, or a pair of weights? write '30 per hand' or '30 sec'")
        elif stream.at("bar"):
            marks.bar = stream.take().word
        else:
            read_side(stream, marks)
        stream.take_if("colon")
    return marks


def _link(stream: Stream, chain: Chain) -> str | None:
    """The link to the next term, taken from the stream; None at the end of the chain."""
    kind = stream.peek().kind
    if kind == "colon" and (_is_plan(chain) or _is_counted(stream, chain)):
        return None  # "3x8-10: 9, 9, 8"
    if kind == "of_or_at":
        return _read_of_or_at(stream, chain)
    if kind in LINKS:
        if kind == "x" and stream.has_slashes and _is_pair(chain):
            raise stream.error("so many sets of '80/5'? write '80/5, 80/5'")
        stream.take()
        return "with" if kind == "with" else LINKS[kind]
    if kind == "slash" and stream.has_slashes and stream.starts_work(1):
        stream.take()
        return "/"  # "60kg/8/3": numbers that say nothing are split in views.py
    if stream.is_added() and not _has_load(chain):
        return " "  # "3x8 +10kg"
    if _is_link_sign(stream, chain):
        stream.take()
        return " "
    if not stream.starts_number(0) or stream.at("plus"):
        return None
    if _ends_slashes(stream, chain):
        return None  # "80/5 80/5"
    if _is_listed_at(stream, chain):
        return " "  # "5 5 4 @ 80"
    if _follows_load(stream, chain) or _goes_on(stream, chain):
        return " "
    if stream.opens_with_link(0):
        return None  # "100x8 100x7"
    says_load = stream.starts_chain(0)  # "3x8 100kg"
    if says_load or stream.has_pairs or stream.says_other(0, chain.terms[-1].sure):
        return " "
    if chain.links == ["x"] and stream.is_bare(0):
        raise stream.error("repetitions or an RPE? write '60x8,8', or '60x8 RPE 8'")
    raise stream.error("a number without 'x' or '@' before it: separate sets by ','")


def _follows_load(stream: Stream, chain: Chain) -> bool:
    """``100kg 3x8``, ``60kg 8 8 7``, ``2x30kg 10``: numbers after a load that says so."""
    place = next((i for i, term in enumerate(chain.terms) if term.sure == "load"), None)
    if place is None or any(link != " " for link in chain.links[place:]):
        return False
    return place == len(chain.terms) - 1 or not stream.starts_chain(0)


def _goes_on(stream: Stream, chain: Chain) -> bool:
    """``60 x 10 10 10``: two numbers or more behind repetitions; ``3x8-10 60kg: 9, 9, 8``."""
    if _is_plan(chain) and not _has_load(chain) and stream.is_load(0):
        return stream.at("colon", ahead=2)
    if chain.links[-1:] in (["x"], [":"]):
        return stream.is_bare(0) and (stream.is_bare(1) or stream.peek().number > MAX_RPE)
    return chain.links[-1:] == [" "] and chain.links[0] in ("x", ":") and stream.is_bare(0)


def _is_pair(chain: Chain) -> bool:
    """``80/5`` and nothing else, which in a file of such pairs is no list."""
    items = chain.terms[-1].items
    return len(chain.terms) == 1 and len(items) == 2 and items[1].by_slash


def _ends_slashes(stream: Stream, chain: Chain) -> bool:
    """Whether a pair such as ``80/5`` stands there, behind one."""
    is_behind = "/" in chain.links or any(item.by_slash for item in chain.terms[-1].items)
    return is_behind and stream.starts_slashes(0)


def _is_listed_at(stream: Stream, chain: Chain) -> bool:
    """Whether, in ``5 5 4 @ 80``, the next number is of a list of repetitions at one load.

    Two numbers may be sets and repetitions: they need an order that states the one or the other.
    What stands behind ``@`` has to be no rating: a load with its unit, or more than an RPE.
    """
    firsts = [term.items[0].number or 0.0 for term in chain.terms if term.sure is None]
    is_run = {*chain.links} <= {" "} and len(firsts) == len(chain.terms)
    is_run = is_run and max(firsts) <= MOST_LISTED
    ahead = 0
    while is_run and ahead < LONGEST_LOOK and stream.is_short_count(ahead):
        ahead += 1
    is_at = ahead > 0 and stream.at("at", "with", ahead=ahead) and not stream.is_rating(ahead)
    if not is_at or not stream.at("number", ahead=ahead + 1):
        return False
    if not stream.at("unit", ahead=ahead + 2) and stream.peek(ahead + 1).number <= MAX_RPE:
        return False
    if len(chain.terms) + ahead == 2 and not stream.states_pairs_at:
        raise stream.error(PAIR_AT)
    return True


def _is_times(stream: Stream, chain: Chain) -> bool:
    """Whether ``x3`` has just been begun, apart from ``12 @ 40`` or ``100x5``: so many times.

    ``12@40x3`` too, where the one is too many for sets and the other few.
    """
    if not stream.at("x", ahead=-1) or not stream.at("number") or stream.at("x", ahead=1):
        return False
    first = chain.terms[0].items[0].number or 0.0
    is_apart = stream.is_glued(0) and not stream.is_glued(-1)
    if chain.links == ["x"]:
        is_one = stream.is_glued(-2) and stream.is_glued(-3) and stream.at("x", ahead=-3)
        is_load = first > MOST_SETS or chain.terms[0].sure == "load"
        return is_apart and is_one and is_load and stream.peek().number <= FEW_SETS
    is_told = is_apart or first > FEW_SETS >= stream.peek().number
    return is_told and chain.links == ["@"]


def _is_link_sign(stream: Stream, chain: Chain) -> bool:
    """A dash or comma that only sets numbers apart which say what they are.

    ``100kg - 5x5``, ``5x5 - 100kg``; ``3 sets, 8 reps, 60 kg``, ``3x8, 60kg``.
    """
    if stream.is_dash_apart():
        last = chain.terms[-1]
        is_bw = last.basis == "added" and not last.items[0].number
        is_after_load = last.sure == "load" and (last.basis != "added" or is_bw)
        return is_after_load or (stream.is_load(1) and not _has_load(chain))
    if not stream.at("comma"):
        return False
    if stream.is_load(1) and stream.ends_entry(2):
        return not _has_load(chain)
    said = {term.sure for term in chain.terms}
    return None not in said and stream.says_other(1, *said) and stream.ends_entry(2)


def _has_load(chain: Chain) -> bool:
    return "@" in chain.links or any(term.sure == "load" for term in chain.terms)


def _read_of_or_at(stream: Stream, chain: Chain) -> str:
    """``3 séries à 8`` and ``3x8 à 60 kg``; but ``8 à 10`` may also be a range."""
    stream.take()
    last = chain.terms[-1]
    if last.sure == "sets":
        return "x"
    low, high = last.items[-1].number, stream.peek().number
    if low is not None and low < high <= 3 * low and not stream.is_load(0):
        raise stream.error("a range or a load? write '8-10', or the unit behind the load")
    return "@"
