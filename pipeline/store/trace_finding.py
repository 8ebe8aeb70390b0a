"""From a finding back to the sets, readings and source lines that it was made from."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.calendar import DEFAULT_WEEK_STARTS, WEEKDAYS
from pipeline.core.errors import SettingsError
from pipeline.store.sql_models import SqlModel, read_models
from pipeline.store.warehouse import read_table, read_tables, read_where

LEAST_ID = 6
AN_ID = re.compile(rf"[0-9a-f]{{{LEAST_ID},16}}")
MOST_TOLD = 3
COUNTED = ~pl.col("is_warmup") & ~pl.col("is_doubted") & (pl.col("segment_no") == 1)
STRENGTH = (
    COUNTED & (pl.col("load_moved_kg") > 0) & (pl.col("reps") > 0) & pl.col("superset_id").is_null()
)
KEYS = ("file_id", "row_no")


@dataclass(frozen=True)
class SourceLines:
    """Rows of one file: runs of row numbers, first and last each; ``sets`` counts sets or readings.

    ``is_line``: a row number is a line of the file, else a running number of its records.
    """

    path: str
    sets: int
    runs: tuple[tuple[int, int], ...]
    is_line: bool


@dataclass(frozen=True)
class FindingOrigin:
    """Where one finding is from.

    ``n_within`` are the sets and readings between its dates, of all ``n``. ``n_doubted`` were left
    out of it. ``settings`` are those that were changed, by name. ``corrections`` and ``doubts``
    are rows of their tables with ``file``, the path in the inbox.
    """

    finding: Mapping[str, Any]
    models: tuple[SqlModel, ...]
    settings: Mapping[str, float | str]
    n: int
    n_within: int
    n_doubted: int
    lines: tuple[SourceLines, ...]
    corrections: tuple[Mapping[str, Any], ...]
    doubts: tuple[Mapping[str, Any], ...]


def is_finding_id(text: str) -> bool:
    """The text is a finding's id or its beginning."""
    return AN_ID.fullmatch(text) is not None


def find_finding(warehouse: Path, what: str) -> dict[str, Any]:
    """The one finding with this id, beginning of an id, or words of its sentence.

    Raises
    ------
    SettingsError
        when there is none, or more than one; the nearest are named.
    """
    findings = read_table(warehouse, "finding")
    if is_finding_id(what):
        found = findings.filter(pl.col("finding_id").str.starts_with(what))
        remedy = "the fold 'Trace a number' of each page lists them"
        none = f"no finding has an id that begins with {what}: {remedy}"
    else:
        wanted = _plain(what)
        is_said = [wanted in _plain(sentence) for sentence in findings["sentence"]]
        found = findings.filter(pl.Series(is_said, dtype=pl.Boolean))
        none = (
            f"{what!r}: no finding says so, and no day such as 2019-03-05 is in it: give a "
            "finding's id or words of its sentence, or name a set"
        )
    if found.is_empty():
        raise SettingsError(none)
    if found.height > 1:
        some = "; ".join(
            f"{row['finding_id']} {row['sentence'][:60]}"
            for row in found.head(MOST_TOLD).iter_rows(named=True)
        )
        raise SettingsError(f"{what!r}: {found.height} findings, name one by its id: {some}")
    return found.row(0, named=True)


def _plain(text: str) -> str:
    """For comparing: one space between words, no capitals, any minus or dash the same."""
    return " ".join(re.sub("[\u2212\u2013]", "-", text).casefold().split())


def sql_behind(tables: Iterable[str]) -> tuple[SqlModel, ...]:
    """The SQL models that make these tables, and those that they read, each after what it reads."""
    models = {model.name: model for model in read_models()}
    wanted, waiting = set[str](), list(tables)
    while waiting:
        name = waiting.pop()
        if name in models and name not in wanted:
            wanted.add(name)
            waiting += models[name].reads
    return tuple(model for name, model in models.items() if name in wanted)


def trace_finding(
    warehouse: Path, finding: Mapping[str, Any], tables: Sequence[str], rows: str, signals: bool
) -> FindingOrigin:
    """Sets, readings and lines behind a finding.

    Parameters
    ----------
    finding : row of table ``finding``.
    tables : that its question is answered from.
    rows : which sets speak: subject, reserve, strength, counted or none.
    signals : readings of the subject's signal speak too.
    """
    sets = _sets_of(warehouse, finding, rows)
    usable = sets.filter(~pl.col("is_doubted"))
    parts = [usable.select(*KEYS, day="session_date")]
    if signals:
        parts.append(_readings_of(warehouse, finding).select(*KEYS, day="date"))
    made = pl.concat(parts)
    within = made
    if finding["from_date"] is not None:
        within = made.filter(pl.col("day").is_between(finding["from_date"], finding["to_date"]))
    marks = read_tables(warehouse, ("tidy_correction", "tidy_doubt"))
    touched = pl.concat([made.select(KEYS), sets.select(KEYS)]).unique()
    return FindingOrigin(
        finding=finding,
        models=sql_behind(tables),
        settings=_changed_settings(warehouse, finding["lifter_id"]),
        n=made.height,
        n_within=within.height,
        n_doubted=sets.height - usable.height,
        lines=_lines_of(warehouse, made),
        corrections=_of_rows(warehouse, marks["tidy_correction"], touched),
        doubts=_of_rows(warehouse, marks["tidy_doubt"], touched),
    )


def _changed_settings(warehouse: Path, lifter_id: str | None) -> dict[str, float | str]:
    """Settings that are not as shipped; weeks start as the lifter has it, or the group's do."""
    read = read_tables(warehouse, ("ref_threshold", "ref_lifter"))
    changed = read["ref_threshold"].filter("is_changed").select("threshold", "value")
    asked = read["ref_lifter"].filter(pl.col("lifter_id") == (lifter_id or pl.col("lifter_id")))
    starts = [WEEKDAYS[number - 1] for number in asked["week_starts_on"].unique().sort()]
    own = {} if starts == [DEFAULT_WEEK_STARTS] else {"week_starts": ", ".join(starts)}
    return dict(changed.iter_rows()) | own


def _sets_of(warehouse: Path, finding: Mapping[str, Any], rows: str) -> pl.DataFrame:
    """Sets behind it, doubted ones with them (they were left out, and are counted as such)."""
    own = {} if finding["lifter_id"] is None else {"lifter_id": finding["lifter_id"]}
    sets = read_where(warehouse, "tidy_set", **own) if own else read_table(warehouse, "tidy_set")
    if rows == "none":
        return sets.clear()
    is_sure = pl.col("is_doubted")
    chosen = sets.filter(is_sure | (COUNTED if rows == "counted" else STRENGTH))
    if rows == "reserve":
        return chosen.filter(is_sure | (pl.col("rir_source") == "recorded"))
    kind, _, subject = finding["subject"].partition(":")
    if rows != "subject" or kind not in ("lift", "muscle"):
        return chosen
    if kind == "lift":
        return chosen.filter(pl.col("exercise_id") == subject)
    direct = read_where(warehouse, "ref_contribution", muscle_id=subject, role="direct")
    return chosen.filter(pl.col("exercise_id").is_in(direct["exercise_id"].implode()))


def _readings_of(warehouse: Path, finding: Mapping[str, Any]) -> pl.DataFrame:
    name = finding["subject"].partition(":")[2].partition("@")[0]
    return read_where(warehouse, "tidy_signal", lifter_id=finding["lifter_id"], signal=name)


def _files(warehouse: Path) -> pl.DataFrame:
    """Each file with ``file``, its path in the inbox."""
    return read_table(warehouse, "source_file").select(
        "file_id", pl.concat_str("lifter_id", "path", separator="/").alias("file")
    )


def _lines_of(warehouse: Path, made: pl.DataFrame) -> tuple[SourceLines, ...]:
    counts = made.group_by("file_id").agg(pl.len(), pl.col("row_no").unique().sort())
    placed = set(read_table(warehouse, "raw_row").drop_nulls("place")["file_id"].unique())
    return tuple(
        SourceLines(row["file"], row["len"], _runs(row["row_no"]), row["file_id"] not in placed)
        for row in counts.join(_files(warehouse), on="file_id").sort("file").iter_rows(named=True)
    )


def _runs(rows: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Sorted row numbers as runs without a gap."""
    grouped = groupby(enumerate(rows), key=lambda pair: pair[1] - pair[0])
    runs = ([row for _, row in part] for _, part in grouped)
    return tuple((run[0], run[-1]) for run in runs)


def _of_rows(
    warehouse: Path, frame: pl.DataFrame, rows: pl.DataFrame
) -> tuple[Mapping[str, Any], ...]:
    """The marks that stand on these rows, each with the path of its file."""
    own = frame.join(rows, on=KEYS, how="semi", maintain_order="left")
    return tuple(own.join(_files(warehouse), on="file_id", maintain_order="left").to_dicts())
