"""Human fixes of single cells, each with a reason and the text it expects to find."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.json_schema import check_entries, load_schema
from pipeline.core.settings import is_there, read_toml
from pipeline.core.source import RawFile, SourceFile


@dataclass(frozen=True)
class Correction:
    """One ``[[correction]]``: the cell, the text expected there, the text meant, and why.

    ``file`` is the path inside the inbox, with or without the lifter's folder; ``row`` is the line
    where the row starts, from 1; ``column`` is the label in the file.
    """

    file: str
    row: int
    column: str
    expect: str
    value: str
    why: str

    def is_for(self, file: SourceFile) -> bool:
        """The correction means this file."""
        return self.file in (file.shown, file.path)


def read_corrections(path: Path) -> tuple[Correction, ...]:
    """Every correction in ``corrections.toml``, in order; none when there is no such file.

    Raises
    ------
    SettingsError
        naming the key, its value and what is allowed.
    """
    if not is_there(path):
        return ()
    entries: dict[str, Any] = read_toml(path)
    check_entries(path.name, entries, load_schema("pipeline.tidy", "corrections.schema.json"))
    return tuple(Correction(**entry) for entry in entries.get("correction", ()))


def apply_corrections(raw: RawFile, corrections: Iterable[Correction]) -> RawFile:
    """The raw file with its corrections applied; those that no longer fit are named in warnings.

    A correction whose expected text does not stand there is not applied: the source has changed,
    and a person has to look again.
    """
    own = [one for one in corrections if one.is_for(raw.file)]
    frame = raw.frame
    warnings: list[str] = []
    for one in own:
        fault = _find_fault(frame, one)
        if fault:
            warnings.append(
                f"corrections.toml: {raw.file.shown} line {one.row} column {one.column!r}: "
                f"{fault}; NOT applied: renew or remove the correction"
            )
            continue
        cell = pl.when(pl.col("row_no") == one.row).then(pl.lit(one.value)).otherwise(one.column)
        frame = frame.with_columns(cell.alias(one.column))
    return replace(raw, frame=frame, warnings=(*raw.warnings, *warnings))


def unused_corrections(corrections: Iterable[Correction], files: Sequence[SourceFile]) -> list[str]:
    """Warnings for corrections of files that are not in the inbox."""
    return [
        f"corrections.toml: {one.file}: no such file in the inbox; NOT applied: correct its path"
        for one in corrections
        if not any(one.is_for(file) for file in files)
    ]


def _find_fault(frame: pl.DataFrame, one: Correction) -> str | None:
    """Why a correction does not fit the file; None when it does."""
    if one.column not in frame.columns or one.column == "row_no":
        return "no such column"
    cells = frame.filter(pl.col("row_no") == one.row)[one.column]
    if cells.is_empty():
        return "no row starts there"
    found = (cells[0] or "").strip()
    if found != one.expect.strip():
        return f"holds {found!r}, not {one.expect!r}"
    return None
