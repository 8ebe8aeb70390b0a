"""JSON and YAML in which texts hold a name and its sets: read as the lines of notes."""

import re
from collections.abc import Iterator

import polars as pl

from pipeline.core.source import LINE, PLACE, RawFile, SourceFile, SourceMap
from pipeline.sources.decode import decode
from pipeline.sources.documents import Node, read_documents
from pipeline.sources.draft_labels import read_label
from pipeline.sources.nested import is_nested
from pipeline.sources.plain_list import read_list

# Keys that say what stands beneath and are no name themselves.
STRUCTURE = frozenset(
    {"session", "sessions", "workout", "workouts", "exercise", "exercises", "work", "sets", "lift"}
    | {"lifts", "entries", "log", "logs", "days", "training", "data", "records"}
)
_YEAR = re.compile(r"(?:19|20)\d\d")
_MONTH = re.compile(r"0?[1-9]|1[0-2]|[^\W\d_]{3,10}\.?")
_DAY = re.compile(r"0?[1-9]|[12]\d|3[01]")

Line = tuple[str, str]  # text, place


def read_lines(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """The lines of notes; of JSON or YAML each key and text is one, in the order of the file.

    A day that is split over keys (year, month, day) becomes one line.

    Raises
    ------
    InputError
        when the file is empty, binary or broken.
    """
    if not is_nested(file, one):
        return read_list(file, data, one)
    decoded = decode(file, data, one.encoding)
    found = list(_lines(read_documents(file, decoded.text).root, "", ()))
    frame = pl.DataFrame(
        {
            "row_no": range(1, len(found) + 1),
            PLACE: [place or "(root)" for _, place in found],
            LINE: [text for text, _ in found],
        },
        schema={"row_no": pl.Int64(), PLACE: pl.String(), LINE: pl.String()},
    )
    return RawFile(file, one, decoded.encoding, frame, decoded.warnings)


def _lines(node: Node, place: str, date: tuple[str, ...]) -> Iterator[Line]:
    """``date``: year and month, where the keys above are just these."""
    if isinstance(node, str):
        yield from ((line, place) for line in node.split("\n"))
    elif isinstance(node, list):
        for i, one in enumerate(node):
            yield from _lines(one, f"{place}[{i}]", ())
    elif isinstance(node, dict):
        for key, value in node.items():
            yield from _entry(key, value, f"{place}.{key}".lstrip("."), date)


def _entry(key: str, value: Node, place: str, date: tuple[str, ...]) -> Iterator[Line]:
    if isinstance(value, dict) and not date and _YEAR.fullmatch(key):
        yield from _lines(value, place, (key,))
    elif isinstance(value, dict) and len(date) == 1 and _MONTH.fullmatch(key):
        yield from _lines(value, place, (*date, key))
    elif len(date) == 2 and _DAY.fullmatch(key):
        year, month = date
        is_named = not month.isdigit()
        yield (f"{key} {month} {year}" if is_named else f"{year}-{month:0>2}-{key:0>2}"), place
        yield from _lines(value, place, ())
    elif isinstance(value, str):
        is_date = read_label(key).fields.get("date") == 1.0
        yield (value if is_date or key.casefold() in STRUCTURE else f"{key}: {value}"), place
    else:
        if key.casefold() not in STRUCTURE:
            yield key, place
        yield from _lines(value, place, ())
