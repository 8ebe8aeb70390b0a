"""Remarks between sets: put into brackets, as the set notation wants them."""

import re
import unicodedata

from pipeline.tidy.notation.rests import REST
from pipeline.tidy.notation.words import KNOWN, UNREAD_UNITS
from pipeline.tidy.notes.words import COMPARES, UNDONE

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_RESTED = re.compile(
    rf"[\s,;.(]*(?:with\s+|w/\s*|@\s*)?(?:{REST.pattern})[^,;()]*\)?", re.IGNORECASE
)
_COMMENT = re.compile(r"\s(?:#|//|--|—|–)\s+(?=[^\d\s+\-@])(.*)$")
_NEXT_SET = re.compile(r"[\s,;:]*\d+(?:[.,]\d+)?\s*(?:[x×*@]|kgs?\b|lbs?\b)", re.IGNORECASE)
_SEPARATORS = ",;"
_BETWEEN = " -–—,;:.!"
SILENT = str.maketrans(dict.fromkeys("!?…", " "))


def clean_signs(text: str) -> str:
    """Text without pictures and exclamation marks, the rests between sets in brackets."""
    plain = text.translate(SILENT)
    if not plain.isascii():
        kept = (c for c in plain if c == "°" or unicodedata.category(c) not in ("So", "Cs"))
        plain = "".join(kept)
        plain = plain.replace("\ufe0f", "").replace("’", "'")
    plain = _RESTED.sub(lambda match: f" ({_plain(match[0])})", plain)
    return plain.strip().rstrip(".,;").strip()


def says_undone(text: str) -> bool:
    """Words outside brackets say that something was not done, or not as written."""
    outside = re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", text)
    return bool(UNDONE & {*_words(outside)} - KNOWN)


def bracket_remarks(text: str) -> str | None:
    """``text`` with its runs of foreign words in brackets; None where that would be a guess.

    A run is no remark that says that something was not done, stands before any number, compares
    with the sets behind it, or begins with a unit that is not read.

    >>> bracket_remarks("100x5 felt good, 110x5")
    '100x5 (felt good), 110x5'
    >>> bracket_remarks("100x5 skipped 110x5") is None
    True
    >>> bracket_remarks("100x5, last week 95x5"), bracket_remarks("5x5 @ 12 stone")
    (None, None)
    """
    text = _COMMENT.sub(lambda match: f" ({_plain(match[1])})", text)
    out = ""
    at = 0
    while True:
        start = _foreign_from(text, at)
        if start is None:
            return out + text[at:]
        end = _end_of_run(text, start)
        run = text[start:end]
        has_set = any(sign.isdigit() for sign in out + text[at:start])
        if not has_set or says_undone(run) or _compares(run, text[end:]):
            return None
        if text[:start].rstrip()[-1:].isdigit() and UNREAD_UNITS.intersection(_words(run)[:1]):
            return None
        out = (out + text[at:start]).rstrip(_BETWEEN) + f" ({_plain(run)})"
        rest = text[end:]
        if rest and rest.lstrip()[:1] not in ("", *_SEPARATORS):
            out += ","
        at = end


def _compares(run: str, behind: str) -> bool:
    """``vs 95x8``, ``last week 95x8``: sets of another day."""
    return bool(COMPARES.intersection(_words(run)) and _NEXT_SET.match(behind))


def _words(text: str) -> list[str]:
    return [word.casefold() for word in _WORD.findall(text)]


def _plain(text: str) -> str:
    return re.sub(r"[()\[\]\"]", " ", text).strip(_BETWEEN)


def _foreign_from(text: str, at: int) -> int | None:
    """Where the next word begins that is not of the notation, brackets passed over."""
    depth = 0
    for match in re.finditer(r"[(\[]|[)\]]|" + _WORD.pattern, text[at:]):
        sign = match[0]
        if sign in "([":
            depth += 1
        elif sign in ")]":
            depth -= 1
        elif depth <= 0 and not _is_known(sign):
            return at + match.start()
    return None


def _is_known(word: str) -> bool:
    plain = word.casefold()
    return plain in KNOWN or plain.removesuffix("x") in KNOWN or plain.removeprefix("x") in KNOWN


def _end_of_run(text: str, start: int) -> int:
    """Where a remark ends: at a separator, at a bracket, or at a number that begins a set."""
    for place in range(start, len(text)):
        sign = text[place]
        if sign in _SEPARATORS or sign in "([":
            return place
        if sign.isdigit() and not text[place - 1].isdigit() and _NEXT_SET.match(text, place):
            return place
    return len(text)
