"""The documents of a JSON file one after the other: single, in a row, in an array, a line each.

Only one document at a time is held, so that a file of any length can be read.
"""

import codecs
from collections.abc import Iterator
from typing import TextIO

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.sources.standards import scanner
from pipeline.sources.standards.document import Document, unwrap
from pipeline.sources.standards.json_text import NoJsonError, parse

BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


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
                yield from scanner.Scanner(handle).documents()
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError(file.shown, None, reason, "check the file and refresh again") from None
    except UnicodeError:
        raise InputError(file.shown, None, f"not {encoding} text", "save it as UTF-8") from None
    except NoJsonError as error:
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
            start = handle.read(scanner.CHUNK)
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
    while not first.strip() and (first := handle.readline(scanner.MOST_CHARACTERS)):
        pass
    handle.seek(0)
    line = first.strip()
    return line.startswith("{") and line.endswith("}") and len(first) < scanner.MOST_CHARACTERS


def _read_lines(handle: TextIO) -> Iterator[Document]:
    number = 0
    while line := handle.readline(scanner.MOST_CHARACTERS):
        number += 1
        if not line.strip():
            continue
        place = f"line {number}"
        if len(line) == scanner.MOST_CHARACTERS and not line.endswith("\n"):
            raise NoJsonError(number, f"more than {scanner.MOST_CHARACTERS} characters in one line")
        try:
            content = parse(line)
        except NoJsonError as error:
            yield Document(place, problem=error.args[1], text=line.strip())
            continue
        yield from unwrap(place, content)
