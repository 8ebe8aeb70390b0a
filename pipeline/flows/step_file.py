"""One file: raw rows, tidy rows, checks and quarantine, kept by the content of its inputs."""

import json
import tempfile
import threading
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.checks.quarantine import quarantine
from pipeline.checks.suites import check_frames
from pipeline.core.dictionary import conform, empty_frame, schema_of
from pipeline.core.errors import InputError, SettingsError, one_line
from pipeline.core.source import RawFile, SourceFile, SourceMap
from pipeline.flows.ahead import work_ahead
from pipeline.flows.cache import content_key
from pipeline.flows.inputs import Inputs
from pipeline.sources.parts import NotInPartsError, can_be_split, read_parts
from pipeline.sources.read import raw_rows, read_raw
from pipeline.sources.snapshot import take_snapshot
from pipeline.tidy.corrections import apply_corrections, correction_rows
from pipeline.tidy.parts import days_of, sum_parts
from pipeline.tidy.tidy_file import FileCounts, TidyFile, tidy_file

# Great Expectations keeps one context for the whole process.
CHECKING = threading.Lock()
TO_COME = "date to come"


@dataclass(frozen=True)
class FileResult:
    """What reading one file gave, as it lies in its result folder."""

    file: SourceFile
    map_name: str | None
    encoding: str | None
    counts: FileCounts
    counts_as: str
    warnings: tuple[str, ...]
    is_read: bool
    folder: Path | None

    def frame(self, table: str) -> pl.DataFrame:
        """Rows of one table that this file gave."""
        if self.folder is None or not self.is_read:
            return empty_frame(table)
        return pl.read_parquet(self.folder / f"{table}.parquet")


def key_of_file(inputs: Inputs, file: SourceFile, one: SourceMap, code: str) -> str:
    """Hash of everything that reading this file depends on, but for the day it is read on."""
    own = [asdict(fix) for fix in inputs.corrections if fix.is_for(file)]
    what = (file.file_id, file.sha256, one.checksum, own)
    how = (inputs.reference_id, inputs.names_id, inputs.settings.thresholds)
    return content_key("file", code, *what, *how)


def is_stale(folder: Path, today: date) -> bool:
    """A date that had not come when the file was read may have come since."""
    meta = json.loads((folder / "meta.json").read_text("utf-8"))
    return bool(meta["has_dates_to_come"]) and meta["read_on"] != today.isoformat()


def make_file(
    inputs: Inputs, file: SourceFile, one: SourceMap, today: date
) -> Callable[[Path], None]:
    """The function that reads the file into an empty folder."""

    def make(folder: Path) -> None:
        try:
            raw, tidy = _write_tables(inputs, take_snapshot(inputs.home, file), one, today, folder)
        except (InputError, SettingsError) as error:
            _write_meta(folder, today, one.name, None, None, str(error))
            return
        names = tidy.names.with_columns(lifter_id=pl.lit(file.lifter_id))
        columns = list(schema_of("tidy_name"))
        conform("tidy_name", names.select(columns)).write_parquet(folder / "tidy_name.parquet")
        _write_meta(folder, today, one.name, raw, tidy, None)

    return make


def _write_tables(
    inputs: Inputs, file: SourceFile, one: SourceMap, today: date, folder: Path
) -> tuple[RawFile, TidyFile]:
    """Read the file and write its tables: part by part where that says the same as the whole."""
    is_mended = any(fix.is_for(file) for fix in inputs.corrections)
    if can_be_split(file, one) and not is_mended:
        try:
            return _write_parts(inputs, read_parts(file, one), today, folder)
        except NotInPartsError:
            pass
    return _write_parts(inputs, [read_raw(file, one)], today, folder)


def _write_parts(
    inputs: Inputs, raws: Iterable[RawFile], today: date, folder: Path
) -> tuple[RawFile, TidyFile]:
    """Tables of all parts, and the last part with what all of them said but for their tables.

    Raises
    ------
    NotInPartsError
        when a day stands in two parts, or there is none.
    """

    def mend_and_tidy(written: RawFile) -> tuple[RawFile, TidyFile]:
        raw = apply_corrections(written, inputs.corrections)
        return raw, _tidy(inputs, raw, today)

    seen: set[object] = set()
    told: list[TidyFile] = []
    with tempfile.TemporaryDirectory(dir=folder) as place:
        for written, (raw, tidied) in work_ahead(raws, mend_and_tidy):
            tidy = _check(raw, tidied)
            days = days_of(raw, tidy)
            if seen & days:
                raise NotInPartsError
            seen |= days
            tables = {
                "raw_row": raw_rows(written),
                "tidy_set": tidy.sets,
                "tidy_signal": tidy.signals,
                "set_aside": tidy.set_aside,
                "tidy_correction": correction_rows(written, inputs.corrections),
            }
            for table, frame in tables.items():
                frame.write_parquet(Path(place, f"{table}.{len(told)}.parquet"))
            to_come = tidy.set_aside.filter(pl.col("reason") == TO_COME)
            told.append(
                replace(
                    tidy,
                    sets=tidy.sets.clear(),
                    signals=tidy.signals.clear(),
                    set_aside=to_come.head(1),
                )
            )
        if not told:
            raise NotInPartsError
        for table in tables:
            parts = [Path(place, f"{table}.{number}.parquet") for number in range(len(told))]
            pl.scan_parquet(parts).sink_parquet(folder / f"{table}.parquet")
    return raw, sum_parts(told, raw.map)


def load_file(file: SourceFile, folder: Path) -> FileResult:
    """The result in ``folder``."""
    meta = json.loads((folder / "meta.json").read_text("utf-8"))
    return FileResult(
        file=file,
        map_name=meta["map"],
        encoding=meta["encoding"],
        counts=FileCounts(**meta["counts"]),
        counts_as=meta["counts_as"],
        warnings=tuple(meta["warnings"]),
        is_read=meta["is_read"],
        folder=folder,
    )


def unread_file(file: SourceFile, warning: str) -> FileResult:
    """A file that no map matches: nothing was read, and the page says why."""
    return FileResult(file, None, None, FileCounts(0, 0, 0, 0, 0), "row", (warning,), False, None)


def _tidy(inputs: Inputs, raw: RawFile, today: date) -> TidyFile:
    return tidy_file(
        raw,
        names=inputs.names,
        exercises=inputs.reference.exercises,
        today_limit=today,
        thresholds=inputs.settings.thresholds,
    )


def _check(raw: RawFile, tidy: TidyFile) -> TidyFile:
    """Move the records that break a rule of the dictionary from the tidy tables to set aside."""
    with CHECKING:
        reports = check_frames({"tidy_set": tidy.sets, "tidy_signal": tidy.signals})
    if not any(report.failures for report in reports.values()):
        return tidy
    written = raw_rows(raw).rename({"cells": "as_written"})
    sets, bad_sets = quarantine("tidy_set", tidy.sets, reports["tidy_set"], written)
    signals, bad_signals = quarantine("tidy_signal", tidy.signals, reports["tidy_signal"], written)
    moved = bad_sets.height + bad_signals.height
    counts = replace(
        tidy.counts, kept=tidy.counts.kept - moved, set_aside=tidy.counts.set_aside + moved
    )
    aside = conform("set_aside", pl.concat([tidy.set_aside, bad_sets, bad_signals]))
    return replace(tidy, sets=sets, signals=signals, set_aside=aside, counts=counts)


def _write_meta(
    folder: Path,
    today: date,
    map_name: str,
    raw: RawFile | None,
    tidy: TidyFile | None,
    error: str | None,
) -> None:
    told = [error] if error else list(tidy.warnings if tidy else ())
    meta = {
        "map": map_name,
        "encoding": raw.encoding if raw else None,
        "counts": asdict(tidy.counts if tidy else FileCounts(0, 0, 0, 0, 0)),
        "counts_as": tidy.counts_as if tidy else "row",
        "warnings": [one_line(words) for words in told],
        "is_read": error is None,
        "has_dates_to_come": bool(tidy and (tidy.set_aside["reason"] == TO_COME).any()),
        "read_on": today.isoformat(),
    }
    (folder / "meta.json").write_text(json.dumps(meta, ensure_ascii=False), "utf-8")
