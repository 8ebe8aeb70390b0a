"""Lines of notes without their dress: headings, bullets, numbering, boxes, emphasis, fences."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pipeline.core.written import without_marks
from pipeline.tidy.notes.date_words import month_of

_HEADING = re.compile(r"(#{1,6}|\*{2,6}|={2,}|-{3,}|~{3,}|_{3,})\s*(?=[^\s#*=~_-])")
_BULLET = re.compile(r"(?:[-*+•‣▪·◦–—]|>+|»|→)\s+")
_BOX = re.compile(r"(?:\[(?P<mark>[ xX✓✔]?)\]|(?P<sign>[☐☑✓✔✅])|(?P<word>TODO|DONE)\b)\s*")
_NUMBERING = re.compile(r"(?:\(?\d{1,2}[.)]|#\d{1,2}[.:)]?)\s+(?=\D|\d+\D)")
_LETTER = re.compile(r"\(?([A-Ha-h])(?:\d\s*[.):]\s+|\s*[.)]\s+(?=[^\W\d]))")
_LETTER_NUMBER = re.compile(r"([A-H])\d\s+(?=[^\W\d])")
_CLOSING = re.compile(r"\s*(?:#{1,6}|={2,}|-{3,}|\*{3,}|~{3,}|_{3,})$")
_RULE = re.compile(r"[\s\-=*_~#+.·•—–]+")
_STRUCK = re.compile(r"~~(.+?)~~")
_COMMENT = re.compile(r"<!--.*?-->")
_BREAK = re.compile(r"<br\s*/?>", re.IGNORECASE)
_LINK = re.compile(r"!?\[([^\]]*)\]\([^)]*\)")
_STRONG = re.compile(r"(\*\*|__)(?=\S)(.+?)(?<=\S)\1")
_EMPHASIS = re.compile(r"(?<![\w*])([*_])(?=[^\s*_])(.+?)(?<=[^\s*_])\1(?![\w*])")
_FENCE = re.compile(r"\s*(?:```|~~~)|\s*#\+(?:begin|end)_\w+", re.IGNORECASE)
_PROPERTY = re.compile(r"\s*(?::[A-Za-z_-]+:|#\+[A-Za-z_]+:)")
_FRONT_KEY = re.compile(r"([A-Za-z_]+)\s*:\s*(.*)")
MOST_IN_LINE = 2000
MOST_FRONT_LINES = 40
TAB = "    "


@dataclass(frozen=True)
class NoteLine:
    """One line of notes.

    ``place`` is its place in the file from 0; ``text`` what is left when the dress is taken off.
    ``dress`` tells lines of one kind from another: heading level, bullet, indent, colon at the end.
    ``superset`` is the letter of A1, A2; ``is_ticked`` is None where there is no box.
    """

    place: int
    text: str
    level: int = 0
    dress: tuple[object, ...] = ()
    superset: str | None = None
    is_ticked: bool | None = None
    is_struck: bool = False
    is_table: bool = False
    follows_blank: bool = False


@dataclass(frozen=True)
class Pages:
    """Lines of a file, and the date and title in its head (between two lines ``---``)."""

    lines: tuple[NoteLine, ...]
    head_date: str | None = None
    head_place: int | None = None


def read_layout(texts: Sequence[str], comments: Iterable[str] = ()) -> Pages:
    """Take the dress off every line.

    Parameters
    ----------
    texts : the lines as they stand in the file.
    comments : signs with which a line begins that is not to be read.
    """
    signs = tuple(comments)
    texts = [without_marks(text) for text in texts]
    skipped, head_date, head_place = _read_head(texts)
    lines: list[NoteLine] = []
    is_blank = True
    for place, raw in enumerate(texts):
        is_comment = bool(signs) and raw.lstrip().startswith(signs)
        if place < skipped or is_comment or _FENCE.match(raw) or _PROPERTY.match(raw):
            lines.append(NoteLine(place, ""))
            continue
        line = _read_line(place, raw, is_blank)
        lines.append(line)
        is_blank = not line.text and not line.is_table
    return Pages(tuple(lines), head_date, head_place)


def _read_head(texts: Sequence[str]) -> tuple[int, str | None, int | None]:
    """Lines of the head, the date written in it, and the place of that date."""
    if not texts or texts[0].strip() != "---":
        return 0, None, None
    found: tuple[str, int] | None = None
    for place, raw in enumerate(texts[1 : MOST_FRONT_LINES + 1], 1):
        if raw.strip() in ("---", "..."):
            return place + 1, *(found or (None, None))
        key = _FRONT_KEY.match(raw)
        if key and key[1].casefold() in ("date", "day", "created") and found is None:
            found = key[2].strip().strip("\"'"), place
    return 0, None, None


def _read_line(place: int, raw: str, follows_blank: bool) -> NoteLine:
    text = _BREAK.sub("; ", _COMMENT.sub("", raw)).replace("\t", TAB).replace("\u00a0", " ")
    indent = len(text) - len(text.lstrip())
    text = text.strip().rstrip("\\").rstrip()[:MOST_IN_LINE]
    if text.startswith("|") and text.count("|") > 1:
        return NoteLine(place, text, is_table=True, follows_blank=follows_blank)
    if _RULE.fullmatch(text):
        return NoteLine(place, "", follows_blank=follows_blank)
    level, text = _take_heading(text)
    bullet = _BULLET.match(text)
    text = text[bullet.end() :] if bullet else text
    is_ticked, text = _take_box(text)
    superset, number, text = _take_numbering(text)
    is_struck = bool(_STRUCK.fullmatch(text))
    plain = _plain(text)
    shape = bool(bullet) + 2 * number
    dress = (level, shape, indent // 2, plain != text, plain.endswith(":"))
    return NoteLine(
        place, plain, level, dress, superset, is_ticked, is_struck, False, follows_blank
    )


def _take_heading(text: str) -> tuple[int, str]:
    match = _HEADING.match(text)
    if not match or (match[1].startswith("*") and not text[match.end(1) :].startswith(" ")):
        return 0, text
    return len(match[1]), _CLOSING.sub("", text[match.end() :])


def _take_box(text: str) -> tuple[bool | None, str]:
    match = _BOX.match(text)
    if not match:
        return None, text
    sign = match["mark"] or match["sign"] or match["word"] or ""
    return sign.strip() not in ("", "☐", "TODO"), text[match.end() :]


def _take_numbering(text: str) -> tuple[str | None, bool, str]:
    """The letter of a superset, whether there was any numbering, and the rest."""
    letter = _LETTER.match(text) or _LETTER_NUMBER.match(text)
    if letter:
        has_number = any(sign.isdigit() for sign in letter[0])
        return (letter[1].upper() if has_number else None), True, text[letter.end() :]
    match = _NUMBERING.match(text)
    if match and not _is_date_like(text, match.end()):
        return None, True, text[match.end() :]
    return None, False, text


def _is_date_like(text: str, end: int) -> bool:
    """``3. März`` and ``3. 5. 2019`` are dates, not numbered lines."""
    word = re.match(r"[^\W\d_]+", text[end:])
    return bool(word and month_of(word[0])) or bool(re.match(r"\d{1,2}\.(?!\d)", text[end:]))


def _plain(text: str) -> str:
    """Text without links, emphasis and code signs; ``60*8*3`` stays as it is."""
    text = _LINK.sub(r"\1", text)
    text = _STRUCK.sub(r"\1", text).replace("`", "")
    text = _STRONG.sub(r"\2", text)
    text = _EMPHASIS.sub(r"\2", text)
    return " ".join(text.split())
