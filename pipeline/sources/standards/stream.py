"""The documents of a JSON file one after the other: single, in a row, in an array, a line each.

Only one document at a time is held, so that a file of any length can be read.
"""

import codecs
import json
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TextIO

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile

CHUNK = 2**16
# A longer document is no measurement; it would have to be held whole.
MOST_CHARACTERS = 16 * 2**20
# Nesting beyond this is no document of any standard.
MOST_DEPTH = 100
# The list of a Bundle: its entries are documents of their own.
LIST_OF_OBJECT = "entry"
SPACE = " \t\r\n"
BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True)
class Document:
    """One document: where it stands, and what it holds or why it cannot be read.

    ``content`` : as parsed, numbers with a fraction as ``Decimal`` so that they keep their digits.
    ``is_entry`` : an entry of the next document that is none.
    """

    place: str
    content: Any = None
    problem: str | None = None
    text: str = ""
    is_entry: bool = False


class _NoJsonError(ValueError):
    """What stands here is not JSON."""


def read_documents(file: SourceFile) -> Iterator[Document]:
    """Every document of the file, in order.

    A line that is no JSON is a document with a problem where each line is one; elsewhere what
    follows a fault cannot be told apart, and the file is refused.

    Raises
    ------
    InputError
        naming the line, when the file cannot be opened, is no text, or is broken JSON.
    """
    encoding = find_encoding(file)
    try:
        with file.absolute.open(encoding=encoding, newline="\n") as handle:
            if _has_a_document_a_line(handle):
                yield from _read_lines(handle)
            else:
                yield from _Scanner(handle).documents()
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError(file.shown, None, reason, "check the file and refresh again") from None
    except UnicodeError:
        raise InputError(file.shown, None, f"not {encoding} text", "save it as UTF-8") from None
    except _NoJsonError as error:
        line, reason = error.args
        raise InputError(file.shown, line, reason, "export the file again") from None


def find_encoding(file: SourceFile) -> str:
    """UTF-8, or as the byte order mark says.

    Raises
    ------
    InputError
        when the file cannot be opened or is empty.
    """
    try:
        with file.absolute.open("rb") as handle:
            start = handle.read(CHUNK)
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError(file.shown, None, reason, "check the file and refresh again") from None
    if not start.strip():
        remedy = "fill it or take it out of the inbox"
        raise InputError(file.shown, None, "empty file", remedy)
    return next((name for mark, name in BYTE_ORDER_MARKS if start.startswith(mark)), "utf-8")


def _has_a_document_a_line(handle: TextIO) -> bool:
    """Whether the first line with anything in it is a whole object; leaves the handle at 0."""
    first = ""
    while not first.strip() and (first := handle.readline(MOST_CHARACTERS)):
        pass
    handle.seek(0)
    line = first.strip()
    return line.startswith("{") and line.endswith("}") and len(first) < MOST_CHARACTERS


def _read_lines(handle: TextIO) -> Iterator[Document]:
    number = 0
    while line := handle.readline(MOST_CHARACTERS):
        number += 1
        if not line.strip():
            continue
        place = f"line {number}"
        if len(line) == MOST_CHARACTERS and not line.endswith("\n"):
            raise _NoJsonError(number, f"more than {MOST_CHARACTERS} characters in one line")
        try:
            content = parse(line)
        except _NoJsonError as error:
            yield Document(place, problem=error.args[1], text=line.strip())
            continue
        yield from _unwrap(place, content)


def _unwrap(place: str, content: Any) -> Iterator[Document]:
    """The documents that one parsed value is or holds; a list of entries goes before its object."""
    if isinstance(content, list):
        for number, one in enumerate(content):
            yield from _unwrap(f"{place} [{number}]".strip(), one)
        return
    entries = content.get(LIST_OF_OBJECT) if isinstance(content, dict) else None
    if not isinstance(entries, list):
        yield Document(place, content)
        return
    for number, entry in enumerate(entries):
        yield Document(f"{place} {LIST_OF_OBJECT}[{number}]".strip(), entry, is_entry=True)
    yield Document(place, {**content, LIST_OF_OBJECT: []})


def parse(text: str) -> Any:
    """One JSON value; a name that stands twice in an object, NaN and the like are faults."""
    try:
        content = _decoder().decode(text.strip(SPACE))
    except json.JSONDecodeError as error:
        raise _NoJsonError(1, f"not JSON: {error.msg}, character {error.pos + 1}") from None
    except ValueError as error:
        raise _NoJsonError(1, str(error)) from None
    except RecursionError:
        raise _NoJsonError(1, "nested too deep") from None
    if _depth_of(content) > MOST_DEPTH:
        raise _NoJsonError(1, f"nested more than {MOST_DEPTH} deep")
    return content


def _decoder() -> json.JSONDecoder:
    return json.JSONDecoder(
        parse_float=Decimal, parse_constant=_reject_constant, object_pairs_hook=_make_object
    )


def _reject_constant(word: str) -> Any:
    raise ValueError(f"{word} is no number of JSON")


def _make_object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the name {twice[:60]!r} stands twice in one object")
    return found


def _depth_of(content: Any) -> int:
    """How deep lists and objects lie in one another, without recursion."""
    depth, level = 0, [content]
    while level and depth <= MOST_DEPTH:
        depth += 1
        level = [
            part
            for one in level
            if isinstance(one, dict | list)
            for part in (one.values() if isinstance(one, dict) else one)
        ]
    return depth


class _Scanner:
    """Walks through JSON text piece by piece, holding one document at most."""

    def __init__(self, handle: TextIO) -> None:
        self.handle = handle
        self.buffer = ""
        self.at = 0
        self.line = 1
        self.is_end = False

    def documents(self) -> Iterator[Document]:
        """Top-level values, the elements of top-level arrays, the entries of top-level objects."""
        number = 0
        while sign := self._peek():
            if sign == "[":
                for place, content in self._elements():
                    yield from _unwrap(place, content)
            elif sign == "{":
                yield from self._object(f"document {number + 1}")
            else:
                raise self._fault(f"{sign!r} where a document should begin")
            number += 1

    def _elements(self) -> Iterator[tuple[str, Any]]:
        self._take("[")
        number = 0
        while self._peek() != "]":
            if number:
                self._take(",")
            yield f"[{number}]", self._value()
            number += 1
        self._take("]")

    def _object(self, place: str) -> Iterator[Document]:
        """An object: its list of entries is given out piece by piece, then the object itself."""
        self._take("{")
        rest: dict[str, Any] = {}
        while self._peek() != "}":
            if rest:
                self._take(",")
            name = self._value()
            if not isinstance(name, str):
                raise self._fault("a name in quotes is missing")
            if name in rest:
                raise self._fault(f"the name {name[:60]!r} stands twice in one object")
            self._take(":")
            if name == LIST_OF_OBJECT and self._peek() == "[":
                for at, entry in self._elements():
                    yield Document(f"{LIST_OF_OBJECT}{at}", entry, is_entry=True)
                rest[name] = []
            else:
                rest[name] = self._value()
        self._take("}")
        yield Document(place, rest)

    def _peek(self) -> str:
        """The next sign that is no blank; nothing at the end."""
        while True:
            while self.at < len(self.buffer):
                sign = self.buffer[self.at]
                if sign not in SPACE:
                    return sign
                self.line += sign == "\n"
                self.at += 1
            if not self._fill():
                return ""

    def _take(self, sign: str) -> None:
        found = self._peek()
        if found != sign:
            raise self._fault(f"{found!r} where {sign!r} should be" if found else "it breaks off")
        self.at += 1

    def _value(self) -> Any:
        """The value that begins here, read on until it is whole."""
        if not self._peek():
            raise self._fault("it breaks off")
        decoder = _decoder()
        while True:
            try:
                content, end = decoder.raw_decode(self.buffer, self.at)
            except json.JSONDecodeError as error:
                if self._fill(double=True):
                    continue
                line = self.line + self.buffer.count("\n", self.at, error.pos)
                raise _NoJsonError(line, f"not JSON: {error.msg}") from None
            except (ValueError, RecursionError) as error:
                reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
                raise self._fault(reason) from None
            if end < len(self.buffer) or not self._fill(double=True):  # a number may go on
                self.line += self.buffer.count("\n", self.at, end)
                self.at = end
                if _depth_of(content) > MOST_DEPTH:
                    raise self._fault(f"nested more than {MOST_DEPTH} deep")
                return content

    def _fill(self, double: bool = False) -> bool:
        """Read on, by as much again as is held where a value is not whole; False at the end."""
        if self.is_end:
            return False
        self.buffer = self.buffer[self.at :]
        self.at = 0
        if len(self.buffer) > MOST_CHARACTERS:
            raise self._fault(f"a document of more than {MOST_CHARACTERS} characters")
        more = self.handle.read(max(CHUNK, len(self.buffer)) if double else CHUNK)
        self.is_end = not more
        self.buffer += more
        return bool(more)

    def _fault(self, reason: str) -> _NoJsonError:
        return _NoJsonError(self.line, reason)


def write(content: Any) -> str:
    """A parsed document as JSON on one line."""
    return json.dumps(content, ensure_ascii=False, default=_write_number)


def _write_number(value: object) -> float:
    assert isinstance(value, Decimal)
    return float(value)
