"""Set notation, first step: a text becomes tokens with their place in the text."""

import re
import unicodedata

from pipeline.tidy.notation.brackets import (
    CLOSING,
    LEAD,
    LEAD_END,
    is_more_than_remark,
    read_bracket,
)
from pipeline.tidy.notation.decimals import refuse_other_decimal
from pipeline.tidy.notation.labels import blank_labels
from pipeline.tidy.notation.phrases import fold_phrases
from pipeline.tidy.notation.records import Notation, NotationError, Token
from pipeline.tidy.notation.remarks import find_remark
from pipeline.tidy.notation.rests import REST
from pipeline.tidy.notation.words import KIT, KNOWN

MAX_LENGTH = 2_000  # characters; a longer text is a paragraph, not a list of sets
MAX_DIGITS = 20
DIGITS = frozenset("0123456789")
SIGNS = {
    "×": "x", "✕": "x", "*": "x", "@": "at", ":": "colon", "/": "slash", ",": "comma",
    ";": "semicolon", "\n": "newline", "-": "dash", "–": "dash", "−": "dash", "+": "plus",
    ">": "drop", "→": "drop", "|": "semicolon", "·": "semicolon", "•": "semicolon", "&": "comma",
}  # fmt: skip
IGNORED = frozenset(".!✓✔☑")  # at the end of what was written; a decimal point is read before
LONGEST_RUN = 10.0  # "5k", "10k": distances up to here, loads above
_SECONDS = re.compile(r":([0-5]\d)(?!\d)")
_GOES_ON = re.compile(r"\s*(?:[x×*@]|\d|at\b|with\b)", re.IGNORECASE)
_LEFT = re.compile(r"(?<![^\W\d_])(?:l|left)(?![^\W\d_])", re.IGNORECASE)
_A_SIDE = re.compile(r"/\s?s(?:ide)?(?![^\W\d_])", re.IGNORECASE)
FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}


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
    try:
        return _tokens_of(blank_labels(text), notation)
    except NotationError as error:
        raise type(error)(text, error.position, error.remedy) from None


def _tokens_of(text: str, notation: Notation) -> list[Token]:
    tokens: list[Token] = []
    at = 0
    while True:
        try:
            rest = fold_phrases(_scan(text, notation, at), text)
            found = _warmups_first([*tokens, *rest])
            return [*found, Token("end", len(text), len(text))]
        except NotationError as error:
            if not text[error.position : error.position + 1].isalpha():
                raise  # no word: no remark
            before = _scan(text[: error.position], notation, at)
            remark = find_remark(text, error.position, tokens, before)
            if remark is None:
                raise
            before = [token for token in before if token.start < remark.start]
            tokens += [*fold_phrases(before, text), remark]
            at = remark.end


def _warmups_first(tokens: list[Token]) -> list[Token]:
    """Warm-ups in brackets on a line of their own, before the line in which they stand."""
    if not any(token.kind == LEAD for token in tokens):
        return tokens
    found: list[Token] = []
    line: list[Token] = []
    is_lead = False
    for token in tokens:
        if token.kind == LEAD:
            is_lead = True
        elif token.kind == LEAD_END:
            is_lead = False
            found.append(Token("newline", token.start, token.end))
        else:
            (found if is_lead else line).append(token)
        if token.kind == "newline":
            found, line = [*found, *line], []
    return [*found, *line]


def _scan(text: str, notation: Notation, at: int = 0) -> list[Token]:
    tokens: list[Token] = []
    while at < len(text):
        if _is_skipped(text, at):
            at += 1
            continue
        found = _scan_one(text, at, notation, tokens)
        tokens.extend(found)
        at = found[-1].end
    return tokens


def _is_skipped(text: str, at: int) -> bool:
    """Blanks, a full stop, a tick; the apostrophe in ``l'échec``."""
    char, before, after = text[at], text[at - 1 : at], text[at + 1 : at + 2]
    if char in "'’":
        return before.isalpha() and after.isalpha()
    return (char != "\n" and char.isspace()) or (char in IGNORED and after not in DIGITS)


def _scan_one(text: str, at: int, notation: Notation, before: list[Token]) -> list[Token]:
    char = text[at]
    if (char in DIGITS or char.isalpha()) and (rest := REST.match(text, at)):
        return [Token("note", at, rest.end(), word=rest[0])]
    if char in DIGITS or (char == notation.decimal and text[at + 1 : at + 2] in DIGITS):
        number = _number(text, at, notation)
        return [number, *_sign_behind(text, number)]
    if char.isalpha():
        return _words(text, at)
    if char in CLOSING:
        return read_bracket(text, at, notation, _scan, before)
    if char == '"':
        return [_quoted(text, at)]
    if text[at : at + 2] in ("->", "=>", "//"):
        return [Token("semicolon" if char == "/" else "drop", at, at + 2)]
    if char == ":" and (found := _SECONDS.match(text, at)) and _is_x(before):
        return [Token("time", at, found.end(), number=float(found[1]))]
    if char == "%":
        raise NotationError(text, at, "a share of a maximum is a plan: write the load lifted")
    if char == "=" and [_kind_of(token) for token in before[-2:]] == ["x", "number"]:
        return [Token("colon", at, at + 1)]  # "3x8 = 8, 8, 7"
    if char in SIGNS:
        return [Token(SIGNS[char], at, at + 1)]
    raise NotationError(text, at, f"{char!r} is not part of the notation; put remarks in ( )")


def _kind_of(token: Token) -> str:
    return "x" if token.word == "x" else token.kind


def _is_x(before: list[Token]) -> bool:
    return bool(before) and (before[-1].kind == "x" or before[-1].word == "x")


def _number(text: str, at: int, notation: Notation) -> Token:
    """A number, or a time such as 1:30 (kind ``time``, in seconds)."""
    end = _digits_end(text, at)
    if text[end : end + 1] == ":" and text[end + 1 : end + 2] in DIGITS:
        return _time(text, at)
    if text[end : end + 1] == notation.decimal and text[end + 1 : end + 2] in DIGITS:
        end = _digits_end(text, end + 1)
    refuse_other_decimal(text, at, end, notation)
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
    if sign == "#" and (not after.isalnum() or after in "xX"):
        return [Token("word", number.end, number.end + 1, word="lb")]
    if sign.isalpha() and not after.isalnum():
        return _letter_behind(text, number)
    if sign == "'" and not after.isalnum() and after != "'":
        return [Token("word", number.end, number.end + 1, word="min")]
    if sign == '"' and (not after or after in ",;/)>+@\n" or after.isspace()):
        return [Token("word", number.end, number.end + 1, word="s")]
    return []


def _letter_behind(text: str, number: Token) -> list[Token]:
    """``40k x 12`` is one of kilograms; ``12r 40kg`` one of repetitions, without a left side."""
    place = number.end
    if text[place] == "k" and number.number > LONGEST_RUN and _GOES_ON.match(text, place + 1):
        return [Token("word", place, place + 1, word="kg")]
    if text[place] == "e" and _A_SIDE.match(text, place + 1) is None:
        raise NotationError(text, place, "each? write 'each', 'per side' or 'per arm'")
    if text[place] != "r" or _LEFT.search(text):
        return []
    if _GOES_ON.match(text, place + 1) is None:
        raise NotationError(text, place, "repetitions or the right side? write 'reps' or 'R'")
    return [Token("word", place, place + 1, word="reps")]


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
    if word in ("e", "ea", "each") and (side := _A_SIDE.match(text, end)):
        return [Token("word", at, end, word="ea"), Token("word", end, side.end(), word="side")]
    if word in KNOWN or word in KIT:
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


def is_read_as_marks(remark: str, notation: Notation) -> bool:
    """Whether more than a remark would be read from ``remark`` if it stood in brackets."""
    return is_more_than_remark(remark, notation, _scan)
