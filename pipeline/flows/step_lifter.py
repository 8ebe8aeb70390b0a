"""One lifter: all files joined, lifts fitted, reserve estimated, events found; then all answers."""

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.findings import (
    LiftAnswers,
    LifterAnswers,
    Record,
    answer_indexes,
    answer_lifts,
    answer_questions,
    estimate_reserve,
    find_events,
    finding_frame,
    propose_phases,
    summarise_lifter,
)
from pipeline.flows.inputs import Inputs
from pipeline.flows.step_file import FileResult
from pipeline.flows.step_group import write_summary
from pipeline.models.volume.group import GroupShift
from pipeline.tidy.corrections import confirmed_rows
from pipeline.tidy.doubted import RecordParts, describe_doubts, rows_wanted
from pipeline.tidy.lifter import Decisions, JoinedFiles, join_files

TIDY_TABLES = (
    "tidy_set",
    "tidy_signal",
    "tidy_event",
    "tidy_proposal",
    "tidy_name",
    "tidy_copy",
    "tidy_correction",
    "tidy_doubt",
    "source_file",
    "set_aside",
)
ANSWER_READS = ("tidy_signal", "mart_day_signal", "mart_week_lifter")


def make_lifter(
    inputs: Inputs, lifter_id: str, files: Sequence[FileResult]
) -> Callable[[Path], None]:
    """The function that joins a lifter's files and answers the lifts into an empty folder."""

    def make(folder: Path) -> None:
        mended = pl.concat([file.frame("tidy_correction") for file in files])
        joined = join_files(
            pl.concat([file.frame("tidy_set") for file in files]),
            pl.concat([file.frame("tidy_signal") for file in files]),
            inputs.reference.exercises,
            [file.file.file_id for file in files],
            inputs.settings.thresholds,
            Decisions(inputs.copies, confirmed_rows(mended)),
        )
        told = inputs.journals[lifter_id]
        sets, events, lifts = _answer_lifts(inputs, lifter_id, joined, told)
        aside = pl.concat([*(file.frame("set_aside") for file in files), joined.set_aside])
        frames = {
            "tidy_set": sets,
            "tidy_signal": joined.signals,
            "tidy_event": events,
            "tidy_proposal": _propose(inputs, lifter_id, sets, events),
            "tidy_name": pl.concat([file.frame("tidy_name") for file in files]).unique(
                "exercise_as_written", maintain_order=True
            ),
            "source_file": _source_files(files, joined),
            "set_aside": conform("set_aside", aside),
            "tidy_copy": joined.copies,
            "tidy_correction": mended,
            "tidy_doubt": _describe_doubts(inputs, lifter_id, files, joined, aside),
            "model_lift_level": lifts.levels,
            "model_lift_change": lifts.changes,
            "model_rep_curve": lifts.curves,
            "finding": finding_frame(lifts.findings),
        }
        for name, frame in frames.items():
            frame.write_parquet(folder / f"{name}.parquet")
        (folder / "rep_slopes.json").write_text(json.dumps(lifts.rep_slopes), "utf-8")

    return make


def make_indexes(
    inputs: Inputs, lifter_id: str, tidy_folder: Path, is_grouped: bool
) -> Callable[[Path], None]:
    """The function that fits the indexes of a lifter's muscles, once, into an empty folder.

    ``is_grouped``: what they alone say of the best weekly sets is wanted for the other lifters.
    """

    def make(folder: Path) -> None:
        record = read_record(inputs, lifter_id, tidy_folder)
        if record.has_sets:
            muscles, thresholds = inputs.reference.muscles, inputs.settings.thresholds
            indexes = answer_indexes(record, muscles, thresholds)
            _write_answers(folder, indexes)
            if is_grouped:
                signals = pl.read_parquet(tidy_folder / "tidy_signal.parquet")
                read = {"tidy_signal": signals, "ref_prior": inputs.reference.priors}
                write_summary(folder, summarise_lifter(record, {**indexes.tables, **read}))

    return make


def make_answers(
    inputs: Inputs,
    lifter_id: str,
    tidy_folder: Path,
    index_folder: Path,
    marts: Mapping[str, pl.DataFrame],
    group: GroupShift | None,
) -> Callable[[Path], None]:
    """The function that answers every question of one lifter into an empty folder.

    ``group`` is what other lifters say of the best weekly sets, None with too few. The findings
    of lifts and indexes, made in the steps before, go with them.
    """

    def make(folder: Path) -> None:
        lift_findings = pl.read_parquet(tidy_folder / "finding.parquet")
        record = read_record(inputs, lifter_id, tidy_folder)
        if not record.has_sets:
            lift_findings.write_parquet(folder / "finding.parquet")
            return
        fitted = {path.stem: pl.read_parquet(path) for path in index_folder.glob("*.parquet")}
        slopes = json.loads((tidy_folder / "rep_slopes.json").read_text("utf-8"))
        own = {
            name: frame.filter(pl.col("lifter_id") == lifter_id) for name, frame in marts.items()
        }
        reference = inputs.reference
        tables = {
            "ref_muscle": reference.muscles,
            "ref_prior": reference.priors,
            "ref_fact": reference.facts,
            "ref_balance": reference.balance,
            "ref_variant": reference.variants,
            "model_lift_level": pl.read_parquet(tidy_folder / "model_lift_level.parquet"),
            **own,
            **fitted,
        }
        answers = answer_questions(record, tables, slopes, inputs.settings.thresholds, group)
        findings = pl.concat([lift_findings, fitted.pop("finding"), answers.findings])
        _write_answers(folder, LifterAnswers({**fitted, **answers.tables}, findings))

    return make


def _write_answers(folder: Path, answers: LifterAnswers) -> None:
    for name, frame in {**answers.tables, "finding": answers.findings}.items():
        frame.write_parquet(folder / f"{name}.parquet")


def _answer_lifts(
    inputs: Inputs, lifter_id: str, joined: JoinedFiles, told: pl.DataFrame
) -> tuple[pl.DataFrame, pl.DataFrame, LiftAnswers]:
    """Sets with reserve estimated, all events, and what the lifts answer."""
    record = _record(inputs, lifter_id, joined.sets, told)
    if not record.has_sets:
        tables = ("model_lift_level", "model_lift_change", "model_rep_curve")
        levels, changes, curves = (empty_frame(name) for name in tables)
        return joined.sets, told, LiftAnswers(levels, changes, curves, ())
    answers = answer_lifts(record, inputs.settings.thresholds)
    sets = estimate_reserve(record, answers)
    events = find_events(record, answers.levels, inputs.settings["layoff_longest_days"])
    return sets, events, answers


def _propose(
    inputs: Inputs, lifter_id: str, sets: pl.DataFrame, events: pl.DataFrame
) -> pl.DataFrame:
    """Table ``tidy_proposal``: phases that the journal does not tell of."""
    record = _record(inputs, lifter_id, sets, events)
    if not record.has_sets:
        return empty_frame("tidy_proposal")
    return propose_phases(record, inputs.reference.muscles)


def read_record(inputs: Inputs, lifter_id: str, tidy_folder: Path) -> Record:
    """The lifter's joined record, as the step before left it."""
    sets, events = (
        pl.read_parquet(tidy_folder / f"{name}.parquet") for name in ("tidy_set", "tidy_event")
    )
    return _record(inputs, lifter_id, sets, events)


def _record(inputs: Inputs, lifter_id: str, sets: pl.DataFrame, events: pl.DataFrame) -> Record:
    return Record(
        lifter=inputs.settings.lifter(lifter_id),
        sets=sets,
        events=events,
        exercises=inputs.reference.exercises,
        contributions=inputs.reference.contributions,
    )


def _describe_doubts(
    inputs: Inputs,
    lifter_id: str,
    files: Sequence[FileResult],
    joined: JoinedFiles,
    aside: pl.DataFrame,
) -> pl.DataFrame:
    """Table ``tidy_doubt``: likely slips with the text that stands in the file."""
    wanted = rows_wanted(joined.doubted, aside)
    cells: dict[str, dict[int, str]] = {}
    places: dict[str, dict[int, str | None]] = {}
    for file in files:
        own = wanted.filter(pl.col("file_id") == file.file.file_id)
        if own.height:
            raw = file.frame("raw_row").join(own, on=["file_id", "row_no"], how="semi")
            cells[file.file.file_id] = dict(raw.select("row_no", "cells").iter_rows())
            places[file.file.file_id] = dict(raw.select("row_no", "place").iter_rows())
    maps = {file.file_id: one for file, one in inputs.files if file.lifter_id == lifter_id}
    return describe_doubts(
        RecordParts(
            *(lifter_id, joined.doubted, aside, joined.sets, joined.signals, maps, cells, places)
        )
    )


def _source_files(files: Sequence[FileResult], joined: JoinedFiles) -> pl.DataFrame:
    """Table ``source_file``: the row equation of each file after files were compared."""
    rows = [_source_row(file, joined) for file in files]
    return conform("source_file", pl.DataFrame(rows, infer_schema_length=None))


def _source_row(result: FileResult, joined: JoinedFiles) -> dict[str, object]:
    file_id, counts = result.file.file_id, result.counts
    repeated = joined.repeated.get(file_id, 0)
    contradicted = joined.contradicted.get(file_id, 0)
    kept_days = pl.concat(
        [
            joined.sets.filter(pl.col("file_id") == file_id)["session_date"],
            joined.signals.filter(pl.col("file_id") == file_id)["date"],
        ]
    )
    return {
        "file_id": file_id,
        "lifter_id": result.file.lifter_id,
        "path": result.file.path,
        "sha256": result.file.sha256,
        "map": result.map_name,
        "encoding": result.encoding,
        "counts_as": result.counts_as,
        "read": counts.read,
        "kept": counts.kept - repeated - contradicted,
        "repeated": counts.repeated + repeated,
        "set_aside": counts.set_aside + contradicted,
        "blank": counts.blank,
        "first_date": kept_days.min(),
        "last_date": kept_days.max(),
        "warning": "; ".join(result.warnings) or None,
    }
