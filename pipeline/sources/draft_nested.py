"""The tables that unknown nested records (JSON, YAML) can be read as."""

import re

import polars as pl

from pipeline.core.source import NO_CELLS, SourceFile
from pipeline.sources.documents import Documents
from pipeline.sources.draft_cells import MAX_ROWS, make_column
from pipeline.sources.draft_columns import is_day
from pipeline.sources.draft_file import LooseTable, cut_cell, only_year, pattern_of, siblings_of
from pipeline.sources.draft_labels import UNITS, is_sure_label
from pipeline.sources.draft_records import Readers
from pipeline.sources.draft_shape import find_shape, list_chains
from pipeline.sources.flatten import Chain
from pipeline.sources.nested import frame_of
from pipeline.sources.paths import KEY, read_path, write_path

MOST_ROWS = 200_000  # of a table that is looked at; lists beside each other may multiply
# Keys that say nothing without the one around them, and those that the one around them says alone.
NAMES = frozenset({"name", "title", "label"})
AMOUNTS = frozenset({"value", "amount", "quantity", "qty", "val"})
_HUMP = re.compile(r"(?<=[a-z])(?=[A-Z])")


def nested_tables(
    source: SourceFile, encoding: str, documents: Documents, readers: Readers
) -> list[LooseTable]:
    """One table for each list that can be followed, the outermost first."""
    year = only_year(source.path.rpartition("/")[2])
    shape = find_shape(documents, readers, is_day(readers, year))
    found: list[LooseTable] = []
    for chain in list_chains(shape):
        frame, _ = frame_of(source, documents, chain)
        if frame.width > len(NO_CELLS) - 1 and frame.height <= MOST_ROWS:
            found.append(_table(source, encoding, documents, chain, frame, year))
    return found


def say_path(label: str) -> str:
    """The words of a path that tell what it means.

    >>> say_path("sessions[].exercises[].name"), say_path("sets[].weight_kg"), say_path("{key}")
    ('exercise name', 'weight_kg', '')
    """
    path = read_path(label)
    if path is None or path.rest[-1:] == (KEY,):
        return ""
    names = [_HUMP.sub(" ", step[1:]) for step in path.steps if step[0] == "."]
    if not names or (path.rest and path.rest[-1][0] != "."):
        return ""
    if not path.rest and path.levels and path.levels[-1][0][0] != ".":
        return ""
    last = names[-1]
    around = names[-2] if len(names) > 1 else ""
    if last.lower() in AMOUNTS and around:
        return around
    if around and (last.lower() in UNITS or is_sure_label(f"{around} {last}")):
        return f"{around} {last}"
    if last.lower() in NAMES and around:
        return f"{around.removesuffix('s')} {last}"
    return last


def _table(
    source: SourceFile,
    encoding: str,
    documents: Documents,
    chain: Chain,
    frame: pl.DataFrame,
    year: int | None,
) -> LooseTable:
    frame = _join_single_items(frame)
    labels = [label for label in frame.columns if label not in NO_CELLS]
    if frame.height > MAX_ROWS:
        frame = frame.gather_every(frame.height // MAX_ROWS + 1)
    cells = [[cut_cell(cell or "") for cell in frame[label].to_list()] for label in labels]
    steps = tuple(step for level in chain.levels for step in level)
    where = f", a row for each of {write_path(steps)!r}" if steps else ""
    return LooseTable(
        source=source,
        encoding=encoding,
        separator="",
        header_row=1,
        columns=tuple(
            make_column(label, place, column, say_path(label))
            for place, (label, column) in enumerate(zip(labels, cells, strict=True))
        ),
        rows=tuple(zip(*cells, strict=True)),
        pattern=pattern_of(source.path),
        siblings=siblings_of(source.absolute),
        year=year,
        is_part=False,
        what=f"{documents.language}{where}",
        depth=len(chain.levels),
    )


def _join_single_items(frame: pl.DataFrame) -> pl.DataFrame:
    """Items that stand without their list, in the column of the lists: as they will be read."""
    lists = [label for label in frame.columns if label.removesuffix("[]") in frame.columns]
    pairs = [(label.removesuffix("[]"), label) for label in lists if label.endswith("[]")]
    joined = frame.with_columns(pl.coalesce(many, one).alias(many) for one, many in pairs)
    return joined.drop(one for one, _ in pairs)
