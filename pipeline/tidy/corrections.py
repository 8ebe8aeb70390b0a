"""What a person decided of the record, in ``corrections.toml``: cells mended, copies chosen.

A cell is mended by ``[[correction]]``, each with a reason and the text it expects to find; the same
text in ``expect`` and ``value`` confirms a doubted one, and one without ``value`` is not applied.
Of training kept twice, ``[[copies]]`` says which file counts::

    [[copies]]
    files = ["notes/2014.txt", "sheet.csv"]
    keep = "sheet.csv"                          # or "both": no copies, two sessions
    why = "the sheet has the warm-ups"
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.core.json_schema import check_entries, load_schema
from pipeline.core.settings import is_there, read_toml
from pipeline.core.source import NO_CELLS, NO_VALUE, PLACE, RawFile, SourceFile

BOTH = "both"
# What to do about a correction that is not applied.
RENEW = "renew or remove the correction"
WRITE_VALUE = "write value = the text that is meant; the text of expect confirms it"


@dataclass(frozen=True)
class Correction:
    """One ``[[correction]]``: the cell, the text expected there, the text meant, and why.

    ``file`` is the path inside the inbox, with or without the lifter's folder; ``row`` is the line
    where the row starts, from 1, or its place where the file has no lines ("sheet 2019, row 14");
    ``column`` is the label in the file; ``value`` is None where nobody has written it yet.
    """

    file: str
    row: int | str
    column: str
    expect: str
    value: str | None
    why: str

    def is_for(self, file: SourceFile) -> bool:
        """The correction means this file."""
        return self.file in (file.shown, file.path)


@dataclass(frozen=True)
class CopyChoice:
    """One ``[[copies]]``: which of two files counts where both hold the same training.

    ``files`` is one path where a file tells days again, else two; ``keep`` is one of them or
    ``BOTH``.
    """

    files: tuple[str, ...]
    keep: str
    why: str


def read_corrections(path: Path) -> tuple[Correction, ...]:
    """Every correction in ``corrections.toml``, in order; none when there is no such file.

    Raises
    ------
    SettingsError
        naming the key, its value and what is allowed.
    """
    entries = _read(path).get("correction", ())
    return tuple(Correction(**{"value": None, **entry}) for entry in entries)


def read_copy_choices(path: Path) -> tuple[CopyChoice, ...]:
    """Every choice between copies in ``corrections.toml``, in order.

    Raises
    ------
    SettingsError
        as for ``read_corrections``; also when ``keep`` is none of the files.
    """
    choices = []
    for place, entry in enumerate(_read(path).get("copies", ()), 1):
        choice = CopyChoice(tuple(entry["files"]), entry["keep"], entry["why"])
        if choice.keep not in (*choice.files, BOTH):
            allowed = ", ".join(repr(one) for one in (*choice.files, BOTH))
            raise SettingsError(
                f"{path.name}: copies[{place}].keep = {choice.keep!r}: write one of {allowed}"
            )
        choices.append(choice)
    return tuple(choices)


def decide_copies(
    choices: Iterable[CopyChoice], files: Sequence[SourceFile]
) -> tuple[dict[frozenset[str], str], list[str]]:
    """By pair of file ids which one to keep; warnings for choices of files that are not there."""
    decided: dict[frozenset[str], str] = {}
    warnings: list[str] = []
    for choice in choices:
        meant = {path: [f for f in files if path in (f.shown, f.path)] for path in choice.files}
        for path in (path for path, found in meant.items() if not found):
            warnings.append(
                f"corrections.toml: copies of {path}: no such file in the inbox; NOT applied: "
                "correct its path"
            )
        for pair in product(*meant.values()):
            ids = {path: file.file_id for path, file in zip(choice.files, pair, strict=True)}
            if len({file.lifter_id for file in pair}) == 1:
                decided[frozenset(ids.values())] = ids.get(choice.keep, BOTH)
    return decided, warnings


def _read(path: Path) -> dict[str, Any]:
    if not is_there(path):
        return {}
    entries: dict[str, Any] = read_toml(path)
    check_entries(path.name, entries, load_schema("pipeline.tidy", "corrections.schema.json"))
    return entries


def apply_corrections(raw: RawFile, corrections: Iterable[Correction]) -> RawFile:
    """The raw file with its corrections applied; those that no longer fit are named in warnings.

    A correction whose expected text does not stand there is not applied: the source has changed,
    and a person has to look again.
    """
    frame, outcomes = _apply(raw, corrections)
    warnings = [
        f"corrections.toml: {raw.file.shown} {_say_row(one.row)} column {one.column!r}: "
        f"{fault}; NOT applied: {WRITE_VALUE if fault == NO_VALUE else RENEW}"
        for one, fault in outcomes
        if fault
    ]
    return replace(raw, frame=frame, warnings=(*raw.warnings, *warnings))


def correction_rows(raw: RawFile, corrections: Iterable[Correction]) -> pl.DataFrame:
    """Table ``tidy_correction`` of one file: each correction, and why it is not applied.

    Parameters
    ----------
    raw : the file as written, before its corrections.
    """
    rows = [
        {
            "file_id": raw.file.file_id,
            "row_no": _row_no(raw.frame, one.row),
            "place": _place(raw.frame, one.row),
            "column": one.column,
            "expect": one.expect,
            "value": one.value,
            "why": one.why,
            "fault": fault,
        }
        for one, fault in _apply(raw, corrections)[1]
    ]
    return conform("tidy_correction", pl.DataFrame(rows, infer_schema_length=None))


def confirmed_rows(applied: pl.DataFrame) -> pl.DataFrame:
    """``file_id`` and ``row_no`` of rows of ``tidy_correction`` that say a value is right."""
    is_same = pl.col("expect").str.strip_chars() == pl.col("value").str.strip_chars()
    return applied.filter(is_same & pl.col("fault").is_null()).select("file_id", "row_no").unique()


def _apply(
    raw: RawFile, corrections: Iterable[Correction]
) -> tuple[pl.DataFrame, list[tuple[Correction, str | None]]]:
    """The frame with its corrections applied in order; each of them with its fault."""
    frame = raw.frame
    outcomes: list[tuple[Correction, str | None]] = []
    for one in corrections:
        if not one.is_for(raw.file):
            continue
        fault = _find_fault(frame, one)
        outcomes.append((one, fault))
        if fault is None:
            is_here = pl.col("row_no") == _row_no(frame, one.row)
            cell = pl.when(is_here).then(pl.lit(one.value)).otherwise(one.column)
            frame = frame.with_columns(cell.alias(one.column))
    return frame, outcomes


def unused_corrections(corrections: Iterable[Correction], files: Sequence[SourceFile]) -> list[str]:
    """Warnings for corrections of files that are not in the inbox."""
    return [
        f"corrections.toml: {one.file}: no such file in the inbox; NOT applied: correct its path"
        for one in corrections
        if not any(one.is_for(file) for file in files)
    ]


def _find_fault(frame: pl.DataFrame, one: Correction) -> str | None:
    """Why a correction does not fit the file; None when it does."""
    if one.column not in frame.columns or one.column in NO_CELLS:
        return "no such column"
    cells = frame.filter(pl.col("row_no") == pl.lit(_row_no(frame, one.row), pl.Int64))[one.column]
    if cells.is_empty():
        return "no row starts there"
    found = (cells[0] or "").strip()
    if found != one.expect.strip():
        return f"holds {found!r}, not {one.expect!r}"
    return NO_VALUE if one.value is None else None


def _row_no(frame: pl.DataFrame, row: int | str) -> int | None:
    """The number of a row given by number or place; None where none is at that place."""
    if isinstance(row, int):
        return row
    if PLACE not in frame.columns:
        return None
    found = frame.filter(pl.col(PLACE) == row)["row_no"]
    return None if found.is_empty() else int(found[0])


def _place(frame: pl.DataFrame, row: int | str) -> str | None:
    """Where a row stands, as a person names it; None where its number is a line."""
    if isinstance(row, str) or PLACE not in frame.columns:
        return row if isinstance(row, str) else None
    found = frame.filter(pl.col("row_no") == row)[PLACE]
    return None if found.is_empty() else found[0]


def _say_row(row: int | str) -> str:
    return f"line {row}" if isinstance(row, int) else row
