"""What is expected and what was: forecasts of all lifters, and the file of predictions.

The forecasts are a step of their own, since what a run adds to ``predictions.jsonl`` is chosen from
them before the run's tables are made: those show every line that is kept, the new ones too, so that
the next refresh of the same record makes the same tables.
"""

import json
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.home import Home
from pipeline.findings import compare_with_law, finding_frame
from pipeline.findings.predictions import (
    answer_scores,
    choose_due,
    frame_of_lines,
    line_of,
    look_ahead,
    score_predictions,
)
from pipeline.store.predictions import read_predictions
from pipeline.store.warehouse import read_table, read_tables

STEP = "ahead"
READS = ("ref_lifter", "ref_exercise", "ref_muscle", "mart_week_lifter", "source_file")
FITTED = ("model_muscle_index", "finding")


def make_ahead(
    warehouse: Path, lifter_folders: Mapping[str, Path], answer_folders: Mapping[str, Path]
) -> Callable[[Path], None]:
    """The function that forecasts every lift and muscle of all lifters into an empty folder."""

    def make(folder: Path) -> None:
        tables = read_tables(warehouse, READS)
        tables["model_lift_level"] = _read_all("model_lift_level", lifter_folders)
        tables |= {name: _read_all(name, answer_folders) for name in FITTED}
        ahead = look_ahead(tables)
        frames = {
            "finding": finding_frame(ahead.findings),
            "model_growth": compare_with_law(tables),
            "prediction": ahead.predictions,
            "week": tables["mart_week_lifter"].select("lifter_id", "week_start", "week_status"),
        }
        for name, frame in frames.items():
            frame.write_parquet(folder / f"{name}.parquet")

    return make


@dataclass(frozen=True)
class Predictions:
    """Lines of the folder's lifters as the file holds them after this run, in a fixed order, and
    those of them that this run adds."""

    lines: tuple[dict[str, Any], ...]
    due: tuple[dict[str, object], ...]


def choose_predictions(
    home: Home, ahead: Path, lifters: Collection[str], warn: Callable[[str], None]
) -> Predictions:
    """The file and what is due beside it; broken lines are warned of, strangers' passed over."""
    kept = read_predictions(home)
    for broken in kept.broken:
        warn(broken)
    own = [line for line in kept.rows if line["lifter_id"] in lifters]
    made, weeks = (pl.read_parquet(ahead / f"{name}.parquet") for name in ("prediction", "week"))
    due = choose_due(made, frame_of_lines(own), weeks)
    added = tuple(line_of(row) for row in due.iter_rows(named=True))
    lines = sorted([*own, *added], key=lambda line: json.dumps(line, sort_keys=True))
    return Predictions(tuple(lines), added)


def add_predictions(
    warehouse: Path, frames: Mapping[str, pl.DataFrame], ahead: Path, predictions: Predictions
) -> dict[str, pl.DataFrame]:
    """Findings with the forecasts and their scores, gains beside the law, and the predictions."""
    tables = {**frames, "source_file": read_table(warehouse, "source_file")}
    scored = score_predictions(frame_of_lines(predictions.lines), tables)
    told = (pl.read_parquet(ahead / "finding.parquet"), finding_frame(answer_scores(scored)))
    return {
        "finding": pl.concat([frames["finding"], *told]),
        "model_growth": pl.read_parquet(ahead / "model_growth.parquet"),
        "model_prediction": scored,
    }


def _read_all(table: str, folders: Mapping[str, Path]) -> pl.DataFrame:
    paths = [folder / f"{table}.parquet" for folder in folders.values()]
    frames = [conform(table, pl.read_parquet(path)) for path in paths if path.exists()]
    return pl.concat([empty_frame(table), *frames])
