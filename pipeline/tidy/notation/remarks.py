"""Set notation: remarks that stand behind the sets without parentheses.

``100x8 felt good`` says of the set what no number of it depends on. A remark is taken as one only
where it cannot: it begins with a word that the notation does not know, holds no digit, and has no
word of doubt in it. All else is refused, with the place named.
"""

import re
import unicodedata

from pipeline.tidy.notation.records import Token
from pipeline.tidy.notation.words import BEFORE_REMARK, DOUBTS, INTO_REMARK, KIT, PHRASES

# Where a remark ends before its line does: at a sign after which the next entry begins.
_NEXT_ENTRY = re.compile(r"[,;|]\s*(?=[\d+\-−]|bw\b)", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+")
_SIGNS = re.compile(r"[@<>=×*\"\[\]]")
_BEFORE_SIGNS = ("dash", "comma", "semicolon", "colon", "newline")


def find_remark(text: str, at: int, read: list[Token], before: list[Token]) -> Token | None:
    """The remark that begins at ``at``, or None where there is none.

    Parameters
    ----------
    at : offset of a word that is not understood.
    read, before : tokens up to there, folded to phrases and not yet folded; the remark takes the
        sign that sets it apart, and words such as "with", from the end of ``before``.
    """
    end = _end_of(text, at)
    if end is None or not any(token.kind in ("number", "time") for token in (*read, *before)):
        return None
    tokens, start = list(before), at
    while tokens and tokens[-1].kind == "word" and _may_join(tokens[-1]):
        start = tokens.pop().start
    first = start
    is_apart = False
    while tokens and tokens[-1].kind in _BEFORE_SIGNS:
        start, is_apart = tokens.pop().start, True
    last = (tokens or read)[-1]
    if last.kind in ("number", "time") and last.end == first:
        return None  # "12st": glued to a number, it may be a unit
    if last.kind == "word" and not is_apart and _kind(last) not in BEFORE_REMARK:
        return None
    if last.kind not in ("number", "time", "note", "word", "space"):
        return None
    return Token("note", start, end, word=text[first:end].strip())


def _end_of(text: str, at: int) -> int | None:
    """Where the remark ends; None where what stands there may be more than a remark."""
    line_end = text.find("\n", at)
    end = line_end if line_end >= 0 else len(text)
    next_entry = _NEXT_ENTRY.search(text, at, end)
    end = next_entry.start() if next_entry else end
    piece = text[at:end]
    words = _WORD.findall(_plain(piece))
    if not words or len(words[0]) < 2 or not piece[0].isalpha():
        return None
    if any(char.isdigit() for char in piece) or _SIGNS.search(piece):
        return None
    if not DOUBTS.isdisjoint(words) or piece.count("(") != piece.count(")"):
        return None
    return end


def _plain(text: str) -> str:
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in parts if not unicodedata.combining(char))


def _may_join(token: Token) -> bool:
    return _kind(token) in INTO_REMARK or token.word in KIT


def _kind(token: Token) -> str:
    meaning = PHRASES.get((token.word,))
    return meaning[0] if meaning else ""
