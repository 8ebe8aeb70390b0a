"""JSON text read piece by piece, one document at a time."""

import json
from collections.abc import Iterator
from typing import Any, TextIO

from pipeline.sources.standards.document import LIST_OF_OBJECT, Document, unwrap
from pipeline.sources.standards.json_text import (
    MOST_DEPTH,
    SPACE,
    NoJsonError,
    depth_of,
    make_decoder,
)

CHUNK = 2**16
# A longer document is no measurement; it would have to be held whole.
MOST_CHARACTERS = 16 * 2**20


class Scanner:
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
                    yield from unwrap(place, content)
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
        decoder = make_decoder()
        while True:
            try:
                content, end = decoder.raw_decode(self.buffer, self.at)
            except json.JSONDecodeError as error:
                if self._fill(double=True):
                    continue
                line = self.line + self.buffer.count("\n", self.at, error.pos)
                raise NoJsonError(line, f"not JSON: {error.msg}") from None
            except (ValueError, RecursionError) as error:
                reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
                raise self._fault(reason) from None
            if end < len(self.buffer) or not self._fill(double=True):  # a number may go on
                self.line += self.buffer.count("\n", self.at, end)
                self.at = end
                if depth_of(content) > MOST_DEPTH:
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

    def _fault(self, reason: str) -> NoJsonError:
        return NoJsonError(self.line, reason)
