"""Set notation: what stands in brackets, a part of the set or a remark on it.

Marks and loads in brackets are read as such, so is a list of repetitions behind its load. A
number that may be either is refused: kept as a remark it would be lost without a word.
"""

import re
from collections.abc import Callable
from dataclasses import replace

from pipeline.tidy.notation.decimals import DecimalError
from pipeline.tidy.notation.phrases import fold_phrases
from pipeline.tidy.notation.readings import LOW_REPS
from pipeline.tidy.notation.records import Notation, NotationError, Token
from pipeline.tidy.notation.stream import is_plate_load
from pipeline.tidy.notation.words import MARK_NUMBERS, MARKS, PHRASES, TAKES_NUMBER

Scan = Callable[[str, Notation], list[Token]]

CLOSING = {"(": ")", "[": "]"}
# Around warm-ups in brackets: they were done before what stands beside them.
LEAD, LEAD_END = "lead", "lead end"
LOOK_BACK = 6  # tokens: the load before a list of repetitions is not longer
KG_PER_LB = 0.45359237
SAME_LOAD = 0.03  # two loads in two units that differ by no more are one, rounded
_TIMES = re.compile(r"\s*(?:[x×*]\s*(\d{1,2})|(\d{1,2})\s*(?:[x×*]|sets?))\s*", re.IGNORECASE)
_PARTS = re.compile(r"[,;](?!\d)")
_UNITS = "|".join(sorted({p[0] for p, meaning in PHRASES.items() if meaning[0] == "unit"}))
_WEIGHS = re.compile(rf"\d\s*(?:(?:{_UNITS})(?![^\W\d_])|#)", re.IGNORECASE)
# kinds of token, in the order in which they stand
_NUMBERS = re.compile(r"number(?: (?:(?:comma|slash|semicolon) )?number)*")
_AMOUNT = r"number(?: unit)?"
_LOAD = re.compile(
    rf"(?:at |with )?(?:bw(?: (?:plus|dash) {_AMOUNT})?|(?:plus|dash) {_AMOUNT}"
    rf"|{_AMOUNT}(?: basis)?|(?:number )?plates(?: basis)?(?: plus {_AMOUNT})?)"
)
_LOADS = re.compile(r"(?:at |with )?number(?: (comma|slash|dash) number)(?: \1 number)*( unit)?")
_SETS_X_REPS = re.compile(r"number x number(?: comma number x number)*")
_ENTRY = re.compile(r"(?:number|unit|x|at|with|reps|comma|slash|plus|bw|basis| )+")
_DROP = re.compile(r"(?:drop|pause number)(?: (?:number|unit|x|at|comma|slash|plus|drop|pause))*")
_NO_LOAD_AFTER = frozenset(
    {"x", "at", "with", "of_or_at", "colon", "slash", "dash", "plus", "rpe", "rir", "target"}
    | {"in", "to", "pause", "did"}
)


def read_bracket(
    text: str, at: int, notation: Notation, scan: Scan, before: list[Token]
) -> list[Token]:
    """Tokens of the bracket that opens at ``at``; ``before``: those before it, not yet folded.

    Raises
    ------
    NotationError
        for a bracket that is not closed, or a number in it that may be a load or a remark.
    """
    end = _end_of(text, at)
    inner = text[at + 1 : end - 1]
    if repeated := _TIMES.fullmatch(inner):
        return _times(int(repeated[1] or repeated[2]), at, end)
    try:
        what, tokens = _read_inner(inner, notation, scan)
    except DecimalError as error:
        raise DecimalError(text, error.position + at + 1, error.remedy) from None
    tokens = _shift(tokens, at + 1)
    # an empty token keeps the scan moving past the closing sign
    closing = Token("space", end - 1, end)
    if what == "marks":
        return [*tokens, closing]
    if what == "warmup":
        return [Token(LEAD, at, at + 1), *tokens, Token(LEAD_END, end - 1, end)]
    is_inline = what == "drop" or (bool(before) and _kind(before[-1]) == "x")
    if is_inline and what != "remark":
        return [*tokens, closing]
    if loads := _loads_of_list(before, tokens):
        return [*loads, closing]
    if what == "entry":
        if _holds_sets_of(_fold_tail(before), tokens):
            return [*tokens, closing]
        raise NotationError(text, at, "sets in brackets: leave the brackets out, or use '\"'")
    tail = _fold_tail(before)
    if what == "load" and _is_load(tokens):
        if _is_same_load(tail, tokens):
            return [_note(inner, at + 1), closing]
        return [*_link(tokens), closing]
    if what in ("numbers", "load"):
        if what == "load" or not _opens_list(tail, tokens, is_whole=len(before) <= LOOK_BACK):
            raise NotationError(
                text, at, "a number in brackets: write '@' before a load, '\"' around a remark"
            )
        return [Token("colon", at, at + 1), *tokens, closing]
    return [*_split(inner, at + 1, notation, scan), closing]


def is_more_than_remark(remark: str, notation: Notation, scan: Scan) -> bool:
    """Whether more than a remark would be read from ``remark`` if it stood in brackets."""
    if _TIMES.fullmatch(remark) or _WEIGHS.search(remark):
        return True
    try:
        if _read_inner(remark, notation, scan)[0] != "remark":
            return True
        return any(token.kind != "note" for token in _split(remark, 0, notation, scan))
    except DecimalError:
        return True


def _end_of(text: str, at: int) -> int:
    depth, end = 0, at
    opening, closing = text[at], CLOSING[text[at]]
    while end < len(text):
        depth += (text[end] == opening) - (text[end] == closing)
        end += 1
        if depth == 0:
            return end
    raise NotationError(text, at, f"the remark is not closed: add {closing!r}")


def _loads_of_list(before: list[Token], tokens: list[Token]) -> list[Token]:
    """``5-5-5 (165-175-185 lb)``: a load for each set of the list before it; else none.

    Without a unit the loads have to be more than repetitions are.
    """
    kinds = " ".join(token.kind for token in tokens)
    loads = [token.number for token in tokens if token.kind == "number"]
    if not _LOADS.fullmatch(kinds) or not (kinds.endswith("unit") or min(loads) > LOW_REPS):
        return []
    tail = " ".join(token.kind for token in before)
    n = len(loads)
    sign = r"(?:comma|slash|dash)"
    if not re.search(
        rf"(?:^|comma |semicolon |newline )number(?: {sign} number){{{n - 1}}}$", tail
    ):
        return []
    if max(token.number for token in before[1 - 2 * n :]) > LOW_REPS:
        return []
    joined = [
        replace(token, kind="listed") if token.kind in ("comma", "slash", "dash") else token
        for token in tokens
    ]
    opened = (
        [] if joined[0].kind in ("at", "with") else [Token("at", joined[0].start, joined[0].start)]
    )
    return [*opened, *joined]


def _times(count: int, at: int, end: int) -> list[Token]:
    """``100x5 (x3)``: a number of sets, not a remark."""
    return [
        Token("word", at, at, word="x"),
        Token("number", at, end, number=float(count)),
        Token("word", end, end, word="sets"),
    ]


def _read_inner(inner: str, notation: Notation, scan: Scan) -> tuple[str, list[Token]]:
    """What stands there (marks, load, numbers, entry, drop, warmup, remark); its tokens, folded.

    A bracket in the bracket makes a remark of it: reading deeper would take ever longer.
    """
    if not CLOSING.keys().isdisjoint(inner):
        return "remark", []
    try:
        tokens = fold_phrases(scan(inner, notation), inner)
    except DecimalError:
        raise
    except NotationError:
        return "remark", []
    kinds = " ".join(token.kind for token in tokens)
    if _LOADS.fullmatch(kinds) and not _NUMBERS.fullmatch(kinds):
        return "loads", tokens
    if kinds.startswith("warmup ") and (" x " in kinds or " at " in kinds):
        return "warmup", _as_heading(tokens)
    if _are_marks(tokens):
        return "marks", tokens
    if _NUMBERS.fullmatch(kinds):
        return "numbers", tokens
    if _LOAD.fullmatch(kinds):
        return "load", tokens
    if _DROP.fullmatch(kinds):
        return "drop", tokens
    is_entry = "number" in kinds and _ENTRY.fullmatch(kinds)
    return ("entry", tokens) if is_entry else ("remark", [])


def _as_heading(tokens: list[Token]) -> list[Token]:
    """``warm up 40 x 10; 60 x 5`` as ``warm up: 40 x 10, 60 x 5``."""
    first, rest = tokens[0], tokens[1:]
    rest = [replace(token, kind="comma") if token.kind == "semicolon" else token for token in rest]
    return [
        first,
        *([] if rest[0].kind == "colon" else [Token("colon", first.end, first.end)]),
        *rest,
    ]


def _holds_sets_of(tail: list[Token], tokens: list[Token]) -> bool:
    """``100kg (1x5)``: the sets of a load with which an entry begins and that says its unit."""
    says_load = [token.kind for token in tail[-2:]] == ["number", "unit"]
    is_first = len(tail) == 2 or (len(tail) > 2 and tail[-3].kind in ("comma", "semicolon"))
    kinds = " ".join(token.kind for token in tokens)
    return says_load and is_first and bool(_SETS_X_REPS.fullmatch(kinds))


def _are_marks(tokens: list[Token]) -> bool:
    kinds = {token.kind for token in tokens}
    if not kinds & MARKS or kinds - MARKS - MARK_NUMBERS:
        return False
    return not kinds & MARK_NUMBERS or bool(kinds & TAKES_NUMBER)


def _split(inner: str, start: int, notation: Notation, scan: Scan) -> list[Token]:
    """``RPE 8, slow``, ``20kg, slow``: marks or a load and a remark; else it is one remark."""
    found: list[Token] = []
    place = start
    for part in _PARTS.split(inner):
        what, tokens = _read_inner(part, notation, scan)
        if what == "load" and _is_load(tokens):
            tokens = _link(tokens)
        elif what != "marks":
            tokens = [_note(part, 0)]
        found += _shift(tokens, place)
        place += len(part) + 1
    has_more = any(token.kind != "note" for token in found)
    return found if has_more else [_note(inner, start)]


def _is_load(tokens: list[Token]) -> bool:
    """Not ``+2``: without a unit, a sign before a small or odd number may count repetitions."""
    kinds = [token.kind for token in tokens]
    if len(kinds) != 2 or kinds[0] not in ("plus", "dash"):
        return True
    return is_plate_load(tokens[1].number)


def _link(tokens: list[Token]) -> list[Token]:
    """A load with a link before it."""
    if tokens[0].kind in ("at", "with"):
        return tokens
    return [Token("with", tokens[0].start, tokens[0].start), *tokens]


def _note(inner: str, start: int) -> Token:
    """A remark; its number is 1 where it speaks of a weight."""
    weighs = float(bool(_WEIGHS.search(inner)))
    return Token("note", start, start + len(inner), number=weighs, word=inner.strip())


def _shift(tokens: list[Token], by: int) -> list[Token]:
    return [Token(t.kind, t.start + by, t.end + by, number=t.number, word=t.word) for t in tokens]


def _kind(token: Token) -> str:
    meaning = PHRASES.get((token.word,)) if token.kind == "word" else None
    return meaning[0] if meaning else token.kind


def _fold_tail(before: list[Token]) -> list[Token]:
    try:
        return fold_phrases(before[-LOOK_BACK:], "")
    except NotationError:
        return []


def _is_same_load(tail: list[Token], tokens: list[Token]) -> bool:
    """``132lb (60kg)``: the load once more, in the other unit."""
    pair = [*tail[-2:], *tokens]
    if [token.kind for token in pair] != ["number", "unit"] * 2 or pair[1].word == pair[3].word:
        return False
    ratio = pair[0].number / pair[2].number if pair[2].number else 0.0
    wanted = KG_PER_LB if pair[1].word == "kg" else 1.0 / KG_PER_LB
    return abs(ratio / wanted - 1.0) <= SAME_LOAD


def _opens_list(tail: list[Token], tokens: list[Token], is_whole: bool) -> bool:
    """``100 (5,5,5)``, ``60kg (8)``: repetitions behind a load with which an entry begins."""
    says_load = bool(tail) and tail[-1].kind in ("unit", "basis")
    tail = tail[:-1] if says_load else tail
    if not tail or tail[-1].kind not in ("number", "bw"):
        return False
    if len(tail) > 1 and tail[-2].kind in _NO_LOAD_AFTER:
        return False
    is_first = is_whole and len(tail) == 1 and len(tokens) > 1
    return says_load or tail[-1].kind == "bw" or tail[-1].number > LOW_REPS or is_first
