"""Set notation, first step: a text becomes tokens with their place in the text."""

import re
import unicodedata

from pipeline.tidy.notation.records import Notation, NotationError, Token
from pipeline.tidy.notation.remarks import find_remark
from pipeline.tidy.notation.words import (
    AFTER_SLASH,
    KNOWN,
    LONGEST,
    MARK_NUMBERS,
    MARKS,
    PHRASES,
    TAKES_NUMBER,
)

MAX_LENGTH = 2_000  # characters; a longer text is a paragraph, not a list of sets
MAX_DIGITS = 20
DIGITS = frozenset("0123456789")
SIGNS = {
    "×": "x", "✕": "x", "*": "x", "@": "at", ":": "colon", "/": "slash", ",": "comma",
    ";": "semicolon", "\n": "newline", "-": "dash", "–": "dash", "−": "dash", "+": "plus",
    ">": "drop", "→": "drop", "|": "semicolon", "·": "semicolon", "•": "semicolon", "&": "comma",
}  # fmt: skip
IGNORED = frozenset(".!✓✔☑")  # at the end of what was written; a decimal point is read before
FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_TIMES = re.compile(r"\s*(?:[x×*]\s*(\d{1,2})|(\d{1,2})\s*(?:[x×*]|sets?))\s*", re.IGNORECASE)
CLOSING = {"(": ")", "[": "]"}


def tokenise(text: str, notation: Notation) -> list[Token]:
    """Tokens of ``text``; the last one has the kind ``end``.

    Raises
    ------
    NotationError
        for a character or a word that is not part of the notation.
    """
    if len(text) > MAX_LENGTH:
        raise NotationError(
            text, MAX_LENGTH, f"{len(text)} characters, at most {MAX_LENGTH}: one exercise a line"
        )
    tokens: list[Token] = []
    at = 0
    while True:
        try:
            rest = _fold_phrases(_scan(text, notation, at), text)
            return [*tokens, *rest, Token("end", len(text), len(text))]
        except NotationError as error:
            before = _scan(text[: error.position], notation, at)
            remark = find_remark(text, error.position, tokens, before)
            if remark is None:
                raise
            before = [token for token in before if token.start < remark.start]
            tokens += [*_fold_phrases(before, text), remark]
            at = remark.end


def _scan(text: str, notation: Notation, at: int = 0) -> list[Token]:
    tokens: list[Token] = []
    while at < len(text):
        if _is_skipped(text, at):
            at += 1
            continue
        found = _scan_one(text, at, notation)
        tokens.extend(found)
        at = found[-1].end
    return tokens


def _is_skipped(text: str, at: int) -> bool:
    """Blanks, a full stop, a tick; the apostrophe in ``l'échec``."""
    char, before, after = text[at], text[at - 1 : at], text[at + 1 : at + 2]
    if char in "'’":
        return before.isalpha() and after.isalpha()
    return (char != "\n" and char.isspace()) or (char in IGNORED and after not in DIGITS)


def _scan_one(text: str, at: int, notation: Notation) -> list[Token]:
    char = text[at]
    if char in DIGITS or (char == notation.decimal and text[at + 1 : at + 2] in DIGITS):
        number = _number(text, at, notation)
        return [number, *_sign_behind(text, number)]
    if char.isalpha():
        return _words(text, at)
    if char in CLOSING:
        return _bracket(text, at, notation)
    if char == '"':
        return [_quoted(text, at)]
    if text[at : at + 2] in ("->", "=>", "//"):
        return [Token("semicolon" if char == "/" else "drop", at, at + 2)]
    if char in SIGNS:
        return [Token(SIGNS[char], at, at + 1)]
    raise NotationError(text, at, f"{char!r} is not part of the notation; put remarks in ( )")


def _number(text: str, at: int, notation: Notation) -> Token:
    """A number, or a time such as 1:30 (kind ``time``, in seconds)."""
    end = _digits_end(text, at)
    if text[end : end + 1] == ":" and text[end + 1 : end + 2] in DIGITS:
        return _time(text, at)
    if text[end : end + 1] == notation.decimal and text[end + 1 : end + 2] in DIGITS:
        end = _digits_end(text, end + 1)
    if text[end : end + 1] in (".", notation.decimal) and text[end + 1 : end + 2] in DIGITS:
        raise NotationError(
            text, end, f"not a number with the decimal sign {notation.decimal!r}: see the map"
        )
    if end - at > MAX_DIGITS:
        raise NotationError(text, at, f"a number of {end - at} signs, at most {MAX_DIGITS}")
    if text[end : end + 1] in FRACTIONS and text[at:end].isdigit():
        value = float(text[at:end]) + FRACTIONS[text[end]]
        return Token("number", at, end + 1, number=value)
    return Token("number", at, end, number=float(text[at:end].replace(",", ".")))


def _sign_behind(text: str, number: Token) -> list[Token]:
    """A sign that stands for a unit right behind a number: ``135#``, ``45"``, ``2'``."""
    sign, after = text[number.end : number.end + 1], text[number.end + 1 : number.end + 2]
    if number.kind != "number":
        return []
    if sign == "#" and not after.isalnum():
        return [Token("word", number.end, number.end + 1, word="lb")]
    if sign == "'" and not after.isalnum() and after != "'":
        return [Token("word", number.end, number.end + 1, word="min")]
    if sign == '"' and (not after or after in ",;/)>+@\n" or after.isspace()):
        return [Token("word", number.end, number.end + 1, word="s")]
    return []


def _digits_end(text: str, at: int) -> int:
    while text[at : at + 1] in DIGITS:
        at += 1
    return at


def _time(text: str, at: int) -> Token:
    """m:ss or h:mm:ss."""
    end = at
    parts: list[str] = []
    while True:
        start, end = end, _digits_end(text, end)
        parts.append(text[start:end])
        if text[end : end + 1] != ":" or text[end + 1 : end + 2] not in DIGITS:
            break
        end += 1
        is_clock = all(len(p) == 2 and p <= "59" for p in parts[1:]) and int(parts[0]) <= 59
    if len(parts) > 3 or len(parts[0]) > 2 or not is_clock:
        raise NotationError(
            text, at, "not a time of the form 1:30; after a load leave a space: '60: 10, 8'"
        )
    seconds = 0
    for part in parts:
        seconds = seconds * 60 + int(part)
    return Token("time", at, end, number=float(seconds))


def _words(text: str, at: int) -> list[Token]:
    """A run of letters, split where the sign x is glued to a word: ``kgx8``, ``bwx11``."""
    end = at
    while text[end : end + 1].isalpha() or unicodedata.combining(text[end : end + 1] or " "):
        end += 1
    parts = unicodedata.normalize("NFKD", text[at:end].casefold())
    word = "".join(char for char in parts if not unicodedata.combining(char))
    if word == "w" and text[end : end + 1] == "/" and text[end + 1 : end + 2] in (" ", *DIGITS):
        return [Token("word", at, end + 1, word="with")]
    if word in KNOWN:
        return [Token("word", at, end, word=word)]
    if word.endswith("x") and word[:-1] in KNOWN:
        return [Token("word", at, end - 1, word=word[:-1]), Token("word", end - 1, end, word="x")]
    if word.startswith("x") and word[1:] in KNOWN:
        return [Token("word", at, at + 1, word="x"), Token("word", at + 1, end, word=word[1:])]
    raise NotationError(
        text, at, f"{text[at:end]!r} is not a word of the notation; put remarks in ( )"
    )


def _quoted(text: str, at: int) -> Token:
    """A remark in double quotes, always a remark; a double quote within is doubled."""
    end = at + 1
    while True:
        end = text.find('"', end)
        if end < 0:
            raise NotationError(text, at, "the remark is not closed: add '\"'")
        if text[end + 1 : end + 2] != '"':
            return Token("note", at, end + 1, word=text[at + 1 : end].replace('""', '"'))
        end += 2


def _bracket(text: str, at: int, notation: Notation) -> list[Token]:
    """What stands in parentheses: marks when all of it is marks, else a remark."""
    depth, end = 0, at
    opening, closing = text[at], CLOSING[text[at]]
    while end < len(text):
        depth += (text[end] == opening) - (text[end] == closing)
        end += 1
        if depth == 0:
            inner = text[at + 1 : end - 1]
            if repeated := _TIMES.fullmatch(inner):
                return _times(int(repeated[1] or repeated[2]), at, end)
            marks = _marks_within(inner, at + 1, notation)
            note = Token("note", at, end, word=inner.strip())
            # an empty token keeps the scan moving past the closing sign
            return [*marks, Token("space", end - 1, end)] if marks else [note]
    raise NotationError(text, at, f"the remark is not closed: add {closing!r}")


def _times(count: int, at: int, end: int) -> list[Token]:
    """``100x5 (x3)``: a number of sets, not a remark."""
    return [
        Token("word", at, at, word="x"),
        Token("number", at, end, number=float(count)),
        Token("word", end, end, word="sets"),
    ]


def _marks_within(inner: str, shift: int, notation: Notation) -> list[Token]:
    try:
        tokens = _fold_phrases(_scan(inner, notation), inner)
    except NotationError:
        return []
    kinds = {token.kind for token in tokens}
    has_number = bool(kinds & MARK_NUMBERS)
    if not kinds & MARKS or kinds - MARKS - MARK_NUMBERS:
        return []
    if has_number and not kinds & TAKES_NUMBER:
        return []
    return [
        Token(t.kind, t.start + shift, t.end + shift, number=t.number, word=t.word) for t in tokens
    ]


def is_read_as_marks(remark: str, notation: Notation) -> bool:
    """Whether ``remark`` would be read as marks if it stood in parentheses."""
    return bool(_TIMES.fullmatch(remark) or _marks_within(remark, 0, notation))


def _fold_phrases(tokens: list[Token], text: str) -> list[Token]:
    """Words joined into the phrases of words.py; the longest phrase wins."""
    folded: list[Token] = []
    at = 0
    while at < len(tokens):
        token, used = _fold_one(tokens, at, text)
        at += used
        if token is not None:
            folded.append(token)
    return folded


def _fold_one(tokens: list[Token], at: int, text: str) -> tuple[Token | None, int]:
    first = tokens[at]
    if first.kind == "space":
        return None, 1
    following = tokens[at + 1].word if at + 1 < len(tokens) else ""
    if first.kind == "slash" and following in AFTER_SLASH:
        kind, value = AFTER_SLASH[following]
        return Token(kind, first.start, tokens[at + 1].end, word=value or ""), 2
    if first.kind != "word":
        return first, 1
    words, ends = _run_of_words(tokens, at)
    for length in range(len(words), 0, -1):
        meaning = PHRASES.get(tuple(words[:length]))
        if meaning is not None:
            used, end = ends[length - 1]
            return Token(meaning[0], first.start, end, word=meaning[1] or ""), used
    raise NotationError(
        text, first.start, f"{first.word!r} is not understood here; put remarks in ( )"
    )


def _run_of_words(tokens: list[Token], at: int) -> tuple[list[str], list[tuple[int, int]]]:
    """Words from ``at`` on, hyphens between them left out; tokens used and end after each."""
    words: list[str] = []
    ends: list[tuple[int, int]] = []
    here = at
    while here < len(tokens) and len(words) < LONGEST:
        token = tokens[here]
        is_hyphen = token.kind == "dash" and here > at and tokens[here - 1].end == token.start
        if token.kind == "word":
            words.append(token.word)
            ends.append((here - at + 1, token.end))
        elif not is_hyphen:
            break
        here += 1
    return words, ends
