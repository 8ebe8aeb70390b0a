"""Text to records: separators, quoted cells over several lines, rows of odd length."""

import csv
from collections.abc import Iterable, Iterator, Sequence

SEPARATORS = (";", "\t", ",", "|")
# A quoted cell over more lines than this is taken for a quote that was never closed.
MAX_LINES_PER_RECORD = 50
LINES_LOOKED_AT = 50


def split_records(
    lines: Sequence[str], start: int, separator: str
) -> Iterator[tuple[int, list[str]]]:
    """Records from line index ``start`` on, each with the number (from 1) of its first line.

    A quote that is not closed within ``MAX_LINES_PER_RECORD`` lines is an ordinary character: one
    stray quote must not swallow the rest of the file.
    """
    at = start
    while at < len(lines):
        cells, used = read_record(lines, at, separator)
        yield at + 1, cells
        at += used


def read_record(lines: Sequence[str], at: int, separator: str) -> tuple[list[str], int]:
    """Cells of the record that starts at line index ``at``, and the number of its lines."""
    line = lines[at]
    if '"' not in line:
        return line.split(separator), 1
    reader = csv.reader(
        (text + "\n" for text in lines[at : at + MAX_LINES_PER_RECORD]),
        delimiter=separator,
        strict=True,
    )
    try:
        return next(reader), reader.line_num
    except (csv.Error, StopIteration):
        return line.split(separator), 1


def has_plain_quotes(utf8: bytes, separator: str) -> bool:
    """Every quote opens or closes a whole cell: readers cannot disagree about such a file."""
    if b'"' not in utf8:  # found out sooner than their number
        return True
    sign = separator.encode()
    opening = utf8.count(sign + b'"') + utf8.count(b'\n"') + utf8.startswith(b'"')
    closing = utf8.count(b'"' + sign) + utf8.count(b'"\n') + utf8.endswith(b'"')
    return opening == closing and opening + closing == utf8.count(b'"')


def sniff_separator(lines: Sequence[str], header: int, labels: Iterable[str]) -> str:
    """The separator that finds most of the map's labels, then the most rows of equal length.

    Parameters
    ----------
    lines : physical lines; ``header`` is the index of the header among them.
    labels : labels that the map names.
    """
    wanted = set(labels)

    def score(separator: str) -> tuple[int, int, int]:
        names, used = read_record(lines, header, separator)
        found = len(wanted & {name.strip() for name in names})
        rows = lines[header + used : header + used + LINES_LOOKED_AT]
        alike = sum(len(row.split(separator)) == len(names) > 1 for row in rows)
        return found, alike, len(names)

    return max(SEPARATORS, key=score)


def name_columns(cells: Sequence[str], taken: Iterable[str]) -> tuple[list[str], list[str]]:
    """Labels made distinct, and those that stood there more than once.

    A label that is there again, or is one of ``taken``, gets a number: ``Set``, ``Set (2)``; an
    empty one, or one that reads as a pattern of columns, is called by its place: ``column 3``.
    """
    seen = set(taken)
    labels: list[str] = []
    repeated: list[str] = []
    for place, cell in enumerate(cells, start=1):
        plain = " ".join(cell.split())
        if not plain or plain == "*" or (plain.startswith("^") and plain.endswith("$")):
            plain = f"column {place}"
        label = plain
        number = 2
        while label in seen:
            label = f"{plain} ({number})"
            number += 1
        if label != plain:
            repeated.append(plain)
        seen.add(label)
        labels.append(label)
    return labels, repeated
