"""Set notation: words side by side joined into the phrases of words.py."""

from pipeline.tidy.notation.records import NotationError, Token
from pipeline.tidy.notation.words import AFTER_SLASH, KIT, LONGEST, PHRASES


def fold_phrases(tokens: list[Token], text: str) -> list[Token]:
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
    if first.word in KIT:
        return Token("kit", first.start, first.end, word=first.word), 1
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
