"""Drafting the map of files that need none of the questions of a table: documents of an open
standard, and lists of intervals between heartbeats."""

import re
import tempfile
from collections import Counter
from itertools import islice
from pathlib import Path

import polars as pl

from pipeline.core.errors import InputError, one_line
from pipeline.core.source import FILE_NAME, LINE, RawFile, SourceFile, SourceMap
from pipeline.sources.draft_dates import find_dates
from pipeline.sources.draft_file import pattern_of, read_loosely, source_of
from pipeline.sources.draft_records import Draft, Notebook, Readers
from pipeline.sources.draft_toml import quote
from pipeline.sources.draft_turn import unknown_row
from pipeline.sources.maps import read_map
from pipeline.sources.read import read_raw
from pipeline.sources.standards.mhealth import is_data_point
from pipeline.sources.standards.read import read_standard
from pipeline.sources.standards.stream import read_documents

LOOKED_AT = 50  # documents or lines that say what the file is
PREVIEW = 2000  # documents read for the first signals
N_FIRST = 20
MOST = 8  # kinds of fault named
# A list of intervals: most lines are one number that the time between two heartbeats can be.
INTERVAL = re.compile(r"\s*\d{3,4}(?:\.\d+)?\s*")
SHORTEST_MS, LONGEST_MS = 300.0, 2000.0
LEAST_LINES, LEAST_SHARE = 5, 0.9
INTERVAL_LABEL = re.compile(r"(?:r-?r|n-?n|ibi)[ _-]*(?:intervals?)?[ _]*[(\[]?(?:ms)?[)\]]?", re.I)
CELL_END = re.compile(r"[;,\t|]")
STANDARD_WORDS = "documents of Open mHealth, IEEE 1752.1 or FHIR"
INTERVAL_WORDS = "one interval between heartbeats a row, in ms"


def draft_without_table(path: Path, readers: Readers, book: Notebook) -> Draft | None:
    """The drafted map of a file of standard documents or of intervals; None when it is neither."""
    source = source_of(path)
    if not path.is_file():
        return None
    if _is_standard(source):
        return _draft_standard(source, readers, book)
    lines = _first_lines(source)
    if _is_interval_list(lines):
        return _draft_list(source, readers, book)
    return _draft_interval_table(path, readers, book) if _has_interval_label(lines) else None


def _is_standard(source: SourceFile) -> bool:
    """Whether a document at the beginning is a data point or a FHIR resource."""
    try:
        beginning = [one.content for one in islice(read_documents(source), LOOKED_AT)]
    except InputError:
        return False
    return any(
        isinstance(one, dict)
        and (isinstance(one.get("resourceType"), str) or (is_data_point(one) and "header" in one))
        for content in beginning
        for one in (content, content.get("resource") if isinstance(content, dict) else None)
    )


def _draft_standard(source: SourceFile, readers: Readers, book: Notebook) -> Draft:
    toml = _write(source, "standard", STANDARD_WORDS)
    raw = read_standard(source, _check_map(toml), PREVIEW)
    book.note(f"Documents of an open standard; the first {raw.frame.height} values were read.")
    good = raw.frame.filter(pl.col("fault").is_null())
    for name, n in Counter(good["schema"].to_list()).most_common():
        book.note(f"{n} follow {name}, which gives {_signals_of(good, name)}.")
    faults = raw.frame.filter(pl.col("fault").is_not_null())
    for (name, fault), n in Counter(faults.select("schema", "fault").rows()).most_common(MOST):
        book.note(f"{n} of {name or 'no schema'}: {fault}.")
    return _finish(toml, raw, readers, book)


def _signals_of(good: pl.DataFrame, schema: str) -> str:
    found = good.filter(pl.col("schema") == schema)["signal"].unique(maintain_order=True)
    return ", ".join(found)


def _first_lines(source: SourceFile) -> list[str]:
    """Lines with something in them; none of a file that is no UTF-8."""
    try:
        with source.absolute.open(encoding="utf-8-sig") as handle:
            return [line for line in islice(handle, LOOKED_AT) if line.strip()]
    except (OSError, UnicodeError):
        return []


def _is_interval_list(lines: list[str]) -> bool:
    numbers = [float(line) for line in lines if INTERVAL.fullmatch(line)]
    likely = sum(SHORTEST_MS <= number <= LONGEST_MS for number in numbers)
    return len(lines) >= LEAST_LINES and likely >= LEAST_SHARE * len(lines)


def _has_interval_label(lines: list[str]) -> bool:
    cells = (cell.strip(' "\n') for line in lines for cell in CELL_END.split(line))
    return any(INTERVAL_LABEL.fullmatch(cell) for cell in cells)


def _draft_list(source: SourceFile, readers: Readers, book: Notebook) -> Draft:
    columns = f"\n[columns]\ndate = {quote(FILE_NAME)}\ninterval = {quote(LINE)}\n"
    toml = _write(source, "intervals", INTERVAL_WORDS, columns)
    book.note(
        f"A list of numbers from {SHORTEST_MS:g} to {LONGEST_MS:g}: intervals between heartbeats "
        "in ms. The day stands in the file's name."
    )
    return _finish(toml, read_raw(source, _check_map(toml)), readers, book)


def _draft_interval_table(path: Path, readers: Readers, book: Notebook) -> Draft | None:
    """The map of a table with a column of intervals and one of days or moments; None of another."""
    try:
        table = read_loosely(path)
    except InputError:
        return None
    found = [one for one in table.columns if INTERVAL_LABEL.fullmatch(one.label)]
    days = [one for one in table.columns if "date" in one.meaning.fields]
    if not found or not days:
        return None
    dates = find_dates(days[0], readers, book, table.year, table.source.path)
    if dates.turn is not None:
        raise unknown_row(table.source.path, dates.turn)
    columns = (
        f"separator = {quote(table.separator)}\nheader_row = {table.header_row}\n\n"
        f"[columns]\ndate = {quote(days[0].label)}\ninterval = {quote(found[0].label)}\n\n"
        f"[dates]\norder = {quote(dates.order)}\n"
    )
    toml = _write(table.source, "intervals", INTERVAL_WORDS, columns)
    book.note(f"{found[0].label!r} holds intervals between heartbeats, by its label.")
    return _finish(toml, read_raw(table.source, _check_map(toml)), readers, book)


def _write(source: SourceFile, kind: str, words: str, rest: str = "") -> str:
    """The map; ``rest`` goes on after the kind of the table."""
    return (
        f"# How {one_line(source.path)} is read: {words}.\n"
        "# Drafted by looking at the file; correct what is wrong.\n"
        "schema = 1\n\n[match]\n"
        f"globs = [{quote(pattern_of(source.path))}]   # against the path inside inbox/<lifter>/\n"
        f"\n[table]\nkind = {quote(kind)}\n" + rest
    )


def _check_map(toml: str) -> SourceMap:
    """The drafted map, through the same checks as any other."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "draft.toml"
        path.write_text(toml, "utf-8")
        return read_map(path)


def _finish(toml: str, raw: RawFile, readers: Readers, book: Notebook) -> Draft:
    tidy = readers.tidy_file(raw)
    for reason, n in Counter(tidy.set_aside["reason"].to_list()).most_common(3):
        book.note(f"Would be set aside: {reason} ({n}).")
    return Draft(
        toml=toml,
        questions=tuple(book.questions),
        evidence=tuple(book.evidence),
        names=(),
        first_sets=tidy.sets.head(N_FIRST),
        first_signals=tidy.signals.head(N_FIRST),
        keys=tuple(sorted(book.keys)),
    )
