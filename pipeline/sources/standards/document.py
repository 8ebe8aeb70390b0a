"""One document of a file, and the documents that a parsed value holds."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

# The list of a Bundle: its entries are documents of their own.
LIST_OF_OBJECT = "entry"


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


def unwrap(place: str, content: Any) -> Iterator[Document]:
    """The documents that one parsed value is or holds; a list of entries goes before its object."""
    if isinstance(content, list):
        for number, one in enumerate(content):
            yield from unwrap(f"{place} [{number}]".strip(), one)
        return
    entries = content.get(LIST_OF_OBJECT) if isinstance(content, dict) else None
    if not isinstance(entries, list):
        yield Document(place, content)
        return
    for number, entry in enumerate(entries):
        yield Document(f"{place} {LIST_OF_OBJECT}[{number}]".strip(), entry, is_entry=True)
    yield Document(place, {**content, LIST_OF_OBJECT: []})
