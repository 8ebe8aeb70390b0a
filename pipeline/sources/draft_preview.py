"""The beginning of a file, read with its drafted map exactly as a refresh would read it."""

import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

from pipeline.core.source import RawFile, SourceFile, SourceMap
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_records import Notebook, Readers, TidyLike
from pipeline.sources.maps import read_map
from pipeline.sources.read import read_raw

PREVIEW_ROWS = 2_000
HEAD_BYTES = 2**20  # of a file too large to be read whole


def read_beginning(toml: str, table: LooseTable, readers: Readers, book: Notebook) -> TidyLike:
    """The first rows as they come out, with a sentence on what would be set aside.

    Raises
    ------
    LiftstrataError
        when the drafted map, through an answer, is not usable.
    """
    raw = read_drafted(toml, table)
    raw = replace(raw, frame=raw.frame.head(PREVIEW_ROWS))
    tidy = readers.tidy_file(raw)
    aside = tidy.set_aside.height
    if aside:
        reasons = Counter(tidy.set_aside["reason"].to_list()).most_common(3)
        told = ", ".join(f"{reason} ({n})" for reason, n in reasons)
        book.note(f"Of the first {raw.frame.height} rows would be set aside: {told}.")
    else:
        book.note(f"Nothing of the first {raw.frame.height} rows would be set aside.")
    return tidy


def read_drafted(toml: str, table: LooseTable) -> RawFile:
    """The rows of the file, of a large one those at its beginning, as the drafted map reads them.

    Raises
    ------
    LiftstrataError
        when the drafted map, through an answer, is not usable.
    """
    with tempfile.TemporaryDirectory() as folder:
        one = _check_map(toml, Path(folder))
        source = table.source
        if table.is_part:
            source = _copy_head(source, Path(folder))
        return read_raw(source, one)


def _check_map(toml: str, folder: Path) -> SourceMap:
    """The drafted map, through the same checks as any other."""
    path = folder / "draft.toml"
    path.write_text(toml, "utf-8")
    return read_map(path)


def _copy_head(source: SourceFile, folder: Path) -> SourceFile:
    """The first megabyte of a large file, cut at a line end."""
    with source.absolute.open("rb") as handle:
        data = handle.read(HEAD_BYTES)
    path = folder / "head"
    end = data.rfind(b"\n") + 1
    path.write_bytes(data[: end + end % 2])
    return replace(source, absolute=path)
