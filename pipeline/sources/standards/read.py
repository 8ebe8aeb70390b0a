"""A file of standard documents to raw rows: one row a value, or a document without one."""

from collections import Counter
from collections.abc import Iterator
from itertools import islice
from typing import Any

import polars as pl

from pipeline.core.source import PLACE, RawFile, SourceFile, SourceMap
from pipeline.sources.standards import reading
from pipeline.sources.standards.document import Document
from pipeline.sources.standards.fhir import read_entry, read_resource
from pipeline.sources.standards.json_text import write
from pipeline.sources.standards.mhealth import deprecated_of, is_data_point, read_data_point
from pipeline.sources.standards.reading import Reading
from pipeline.sources.standards.stream import find_encoding, read_documents

# Rows gathered before they become a frame: what is held as Python values stays small.
BATCH = 20_000
SCHEMA = {"row_no": pl.Int64(), PLACE: pl.String()} | dict.fromkeys(reading.COLUMNS, pl.String())


def read_standard(file: SourceFile, one_map: SourceMap, most: int | None = None) -> RawFile:
    """Read a file of data points or Observations.

    ``row_no`` is a running number, the column ``PLACE`` says where the value stands. Of a document
    that gives no value the row says why, and of the first thousand holds the text.

    Parameters
    ----------
    most : documents read at most, for a look at the beginning; None: all.

    Raises
    ------
    InputError
        when the file cannot be opened or is no JSON.
    """
    rows, tally, first_entry = _Rows(), _Tally(), None
    for document in islice(read_documents(file), most):
        if document.is_entry and first_entry is None:
            first_entry = rows.height
        found = list(_read_document(document))
        for one in found:
            is_kept = one.fault is not None and rows.n_texts < reading.MOST_DOCUMENTS
            text = (document.text or write(document.content)) if is_kept else None
            rows.add(f"{document.place} {one.place}".strip(), one, text)
            tally.add(one)
        if first_entry is not None and not document.is_entry:
            if not _is_bundle(document, found):
                rows.orphans.append((first_entry, rows.height))
            first_entry = None
    return RawFile(file, one_map, find_encoding(file), rows.frame(), tally.warnings())


def _read_document(document: Document) -> Iterator[Reading]:
    content = document.content
    if document.problem:
        told = f"{document.problem}; export it again"
        yield Reading(fault=reading.BROKEN, why=told)
    elif document.is_entry:
        yield from read_entry(content)
    elif isinstance(content, dict) and "resourceType" in content:
        yield from read_resource(content)
    elif isinstance(content, dict) and is_data_point(content):
        yield from read_data_point(content)
    else:
        told = "neither a data point (header and body) nor a FHIR resource; see the README"
        yield Reading(fault=reading.BROKEN, why=told)


def _is_bundle(document: Document, found: list[Any]) -> bool:
    """Whether the document that the entries lie in is a Bundle without fault."""
    content = document.content
    return isinstance(content, dict) and content.get("resourceType") == "Bundle" and not found


class _Rows:
    """The rows of the table, gathered a batch at a time.

    ``orphans`` : from and to (exclusive) of entries whose Bundle turned out to be broken.
    """

    def __init__(self) -> None:
        self.batches: list[pl.DataFrame] = []
        self.rows: list[tuple[int | str | None, ...]] = []
        self.height = 0
        self.n_texts = 0
        self.orphans: list[tuple[int, int]] = []

    def add(self, place: str, found: Reading, text: str | None) -> None:
        """One reading; ``text`` is that of the document where it is kept."""
        self.height += 1
        self.n_texts += text is not None
        shown = text[: reading.MOST_OF_DOCUMENT] if text else None
        is_good = found.fault is None
        self.rows.append(
            (
                *(self.height, place, found.schema, found.signal),
                *((found.value, found.unit) if is_good else (None, None)),
                *(found.start, found.end, found.device, found.fault, found.why, shown),
            )
        )
        if len(self.rows) == BATCH:
            self._close_batch()

    def frame(self) -> pl.DataFrame:
        """Everything gathered."""
        self._close_batch()
        frame = pl.concat(self.batches)
        for first, last in self.orphans:
            frame = _orphan(frame, first, last)
        return frame

    def _close_batch(self) -> None:
        self.batches.append(pl.DataFrame(self.rows, schema=SCHEMA, orient="row"))
        self.rows = []


def _orphan(frame: pl.DataFrame, first: int, last: int) -> pl.DataFrame:
    """Take their values from the entries of a broken Bundle."""
    inside = pl.col("row_no").is_between(first + 1, last) & pl.col("fault").is_null()
    told = "it lies in a broken Bundle, or in none; export it again"
    written = pl.format("{} {}", "value", "unit")
    return frame.with_columns(
        pl.when(inside).then(pl.lit(reading.BROKEN)).otherwise("fault").alias("fault"),
        pl.when(inside).then(pl.lit(told)).otherwise("why").alias("why"),
        pl.when(inside).then(written).otherwise("document").alias("document"),
        *(
            pl.when(inside).then(None).otherwise(name).alias(name)
            for name in ("signal", "value", "unit")
        ),
    )


class _Tally:
    """What is worth a warning, counted while reading."""

    def __init__(self) -> None:
        self.deprecated: Counter[str] = Counter()
        self.n_utc = 0

    def add(self, found: Reading) -> None:
        if found.fault is not None:
            return
        if found.schema and deprecated_of(found.schema):
            self.deprecated[found.schema] += 1
        self.n_utc += (found.end or found.start or "").endswith(("Z", "z"))

    def warnings(self) -> tuple[str, ...]:
        told = [
            f"{n} values follow {name}, which is deprecated in favour of {deprecated_of(name)}"
            for name, n in sorted(self.deprecated.items())
        ]
        if self.n_utc:
            told.append(
                f"{self.n_utc} values are dated in UTC (Z): their day is the one written, "
                "which far from Greenwich may be the day before or after"
            )
        return tuple(told)
