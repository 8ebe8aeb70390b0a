"""One raw file to tidy tables: each record is kept, repeated, set aside or blank."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import polars as pl

from pipeline.core.dictionary import conform, empty_frame, schema_of
from pipeline.core.settings import default_settings
from pipeline.core.source import RawFile, SourceFile, SourceMap
from pipeline.tidy.dates import check_order_changes
from pipeline.tidy.draft import spread_faults
from pipeline.tidy.intervals import read_intervals
from pipeline.tidy.lifts import NAME_SCHEMA, add_exercise, match_names
from pipeline.tidy.limits import check_limits
from pipeline.tidy.loads import resolve_loads
from pipeline.tidy.notes.read import draft_notes, write_lines
from pipeline.tidy.records import AS_WRITTEN_LENGTH, set_aside_frame, write_rows
from pipeline.tidy.repeats import drop_repeats
from pipeline.tidy.sessions import mark_warmups, name_sessions, number_sets
from pipeline.tidy.sets import draft_sets
from pipeline.tidy.shorthand import draft_exercises, draft_wide, exercise_columns
from pipeline.tidy.signals import read_signals
from pipeline.tidy.standard import read_standard_signals
from pipeline.tidy.texts import as_text

if TYPE_CHECKING:
    from pipeline.tidy.names import NameIndex

COUNTS_AS = {
    "sets": "row",
    "exercises": "row",
    "wide": "cell",
    "signals": "cell",
    "standard": "row",
    "intervals": "row",
    "notes": "line",
}
SIGNAL_READERS = {
    "signals": read_signals,
    "standard": read_standard_signals,
    "intervals": read_intervals,
}


@dataclass(frozen=True)
class FileCounts:
    """The row equation of one file: read = kept + repeated + set_aside + blank."""

    read: int
    kept: int
    repeated: int
    set_aside: int
    blank: int

    def moved(self, repeated: int = 0, set_aside: int = 0) -> "FileCounts":
        """The counts after kept records were found to repeat or contradict another file."""
        return replace(
            self,
            kept=self.kept - repeated - set_aside,
            repeated=self.repeated + repeated,
            set_aside=self.set_aside + set_aside,
        )


@dataclass(frozen=True)
class TidyFile:
    """What one file gave.

    Parameters
    ----------
    sets, signals, set_aside : rows of tables ``tidy_set``, ``tidy_signal`` and ``set_aside``.
    counts : the row equation; ``counts_as`` says what a record is: a row or a cell.
    names : one row a distinct exercise name: exercise_as_written, exercise_id, certainty, how,
        candidates (space separated), and the angle, position and side written in it.
    n_with_bar : loads that the assumed bar was added to.
    warnings : what was assumed or missing, one sentence each.
    """

    file: SourceFile
    sets: pl.DataFrame
    signals: pl.DataFrame
    set_aside: pl.DataFrame
    counts: FileCounts
    counts_as: str
    names: pl.DataFrame
    warnings: tuple[str, ...] = ()
    n_with_bar: int = 0


def tidy_file(
    raw: RawFile,
    *,
    names: "NameIndex",
    exercises: pl.DataFrame,
    today_limit: date,
    thresholds: Mapping[str, float] | None = None,
) -> TidyFile:
    """Read one raw file to tidy tables.

    Parameters
    ----------
    names : finds the exercise that a name means.
    exercises : table ``ref_exercise``, the lifter's own exercises included.
    today_limit : the last day that can have been logged; a later date is set aside.
    thresholds : settings in force; None: as shipped.

    Raises
    ------
    InputError
        when the file as a whole cannot be read as its map says.
    """
    check_order_changes(raw)
    if raw.map.kind in SIGNAL_READERS:
        return _tidy_signals(raw, today_limit)
    read = _tidy_notes if raw.map.kind == "notes" else _tidy_sets
    found = read(raw, names, exercises, today_limit)
    if raw.map.warmups == "by rule":
        limits = thresholds or default_settings().thresholds
        found = replace(found, sets=mark_warmups(found.sets, limits["warmup_max_share"]))
    return found


def _tidy_signals(raw: RawFile, limit: date) -> TidyFile:
    found = SIGNAL_READERS[raw.map.kind](raw, limit)
    counts = FileCounts(
        read=found.n_read,
        kept=found.n_kept,
        repeated=found.n_repeated,
        set_aside=found.faulty.height,
        blank=found.n_blank,
    )
    return TidyFile(
        file=raw.file,
        sets=empty_frame("tidy_set"),
        signals=conform("tidy_signal", found.signals),
        set_aside=conform("set_aside", set_aside_frame(raw, found.faulty)),
        counts=counts,
        counts_as=COUNTS_AS[raw.map.kind],
        names=pl.DataFrame(schema=NAME_SCHEMA),
        warnings=(*raw.warnings, *found.warnings),
    )


def _tidy_sets(raw: RawFile, names: "NameIndex", exercises: pl.DataFrame, limit: date) -> TidyFile:
    readers = {"sets": draft_sets, "exercises": draft_exercises, "wide": draft_wide}
    draft, n_blank = readers[raw.map.kind](raw, limit)
    matches, draft = _resolve(draft, raw, names, exercises)
    faulty = draft.filter(pl.col("reason").is_not_null()).unique("record", maintain_order=True)
    kept, n_repeated = drop_repeats(draft.filter(pl.col("reason").is_null()))
    n_bars = int(kept["has_bar"].sum())
    return TidyFile(
        file=raw.file,
        sets=_name_sets(kept, raw),
        signals=empty_frame("tidy_signal"),
        set_aside=conform("set_aside", set_aside_frame(raw, _write_records(raw, faulty))),
        counts=FileCounts(
            read=raw.frame.height * _records_per_row(raw),
            kept=kept["record"].n_unique(),
            repeated=n_repeated,
            set_aside=faulty.height,
            blank=n_blank,
        ),
        counts_as=COUNTS_AS[raw.map.kind],
        names=matches,
        warnings=(*raw.warnings, *bar_warning(n_bars, raw.map)),
        n_with_bar=n_bars,
    )


def _tidy_notes(raw: RawFile, names: "NameIndex", exercises: pl.DataFrame, limit: date) -> TidyFile:
    """Sets and body weights of notes; what is set aside is shown as its whole line."""
    found = draft_notes(raw, limit, names, exercises)
    matches, draft = _resolve(found.sets, raw, names, exercises)
    faulty = draft.filter(pl.col("reason").is_not_null()).unique("record", maintain_order=True)
    kept, n_repeated = drop_repeats(draft.filter(pl.col("reason").is_null()))
    n_bars = int(kept["has_bar"].sum())
    aside = pl.concat([write_lines(raw, faulty), found.signals.faulty], how="diagonal_relaxed")
    return TidyFile(
        file=raw.file,
        sets=_name_sets(kept, raw),
        signals=conform("tidy_signal", found.signals.signals),
        set_aside=conform("set_aside", set_aside_frame(raw, aside.sort("row_no"))),
        counts=FileCounts(
            read=found.n_read,
            kept=kept["record"].n_unique() + found.signals.n_kept,
            repeated=n_repeated + found.signals.n_repeated,
            set_aside=aside.height,
            blank=found.n_blank,
        ),
        counts_as=COUNTS_AS["notes"],
        names=matches,
        warnings=(*raw.warnings, *found.warnings, *bar_warning(n_bars, raw.map)),
        n_with_bar=n_bars,
    )


def _resolve(
    draft: pl.DataFrame, raw: RawFile, names: "NameIndex", exercises: pl.DataFrame
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The names found, and the draft with exercises, whole loads and all faults."""
    matches = match_names(draft["exercise_as_written"], names)
    draft = add_exercise(draft, matches, exercises)
    return matches, spread_faults(check_limits(resolve_loads(draft, raw.map)))


def _records_per_row(raw: RawFile) -> int:
    return len(exercise_columns(raw)) if raw.map.kind == "wide" else 1


def _name_sets(kept: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Rows of table ``tidy_set``, numbered within this file; moved load and doubts come later."""
    sets = name_sessions(kept, raw.file.lifter_id).with_columns(
        pl.lit(raw.file.lifter_id).alias("lifter_id"),
        pl.lit(raw.file.file_id).alias("file_id"),
        pl.col("cluster").alias("cluster_id"),
        pl.format("{}|{}", "session_id", "superset").alias("superset_id"),
        pl.col("is_warmup").fill_null(False),
        pl.when(pl.col("rir").is_null())
        .then(pl.lit("none"))
        .otherwise(pl.lit("recorded"))
        .alias("rir_source"),
        *(
            pl.when(pl.col("amount").is_not_null()).then(name).alias(name)
            for name in ("load_as_written", "unit_as_written")
        ),
        pl.lit(False).alias("is_doubted"),
    )
    sets = number_sets(sets)
    known = [name for name in sets.columns if name in schema_of("tidy_set")]
    return conform("tidy_set", as_text(sets.select(known)))


def _write_records(raw: RawFile, faulty: pl.DataFrame) -> pl.DataFrame:
    if raw.map.kind != "wide":
        return write_rows(raw, faulty)
    days = raw.frame[raw.map.columns["date"]][faulty["record"] // _records_per_row(raw)]
    text = pl.format("{} | {}: {}", "day", "exercise_as_written", "load_as_written")
    return faulty.with_columns(days.fill_null("no date").alias("day")).with_columns(
        text.str.head(AS_WRITTEN_LENGTH).alias("as_written")
    )


def bar_warning(n: int, one: SourceMap) -> list[str]:
    """Says that a bar was assumed: a load per side is not the whole without it."""
    if not n:
        return []
    known = "".join(f", {name} {kg:g} kg" for name, kg in one.bars_kg)
    bar = f"{one.bar_kg:g} kg{known}"
    return [
        f"loads written per side or beside the bar: {n}; a bar of {bar} was added to each "
        "(load.bar_kg and load.bars in the map)"
    ]
