"""Notes to draft sets: lines, dates, names and tables put together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

import polars as pl

from pipeline.core.signals import BODY_WEIGHT
from pipeline.core.source import LINE, RawFile, SignalColumn
from pipeline.tidy.cells import CellError
from pipeline.tidy.draft import conform_draft
from pipeline.tidy.notation import NotationError, ParsedSet, parse_sets
from pipeline.tidy.notes.calendar import Calendar, read_calendar
from pipeline.tidy.notes.entries import Splitter
from pipeline.tidy.notes.layout import Pages, read_layout
from pipeline.tidy.notes.records import NoteEntry, Walked, Weighing
from pipeline.tidy.notes.tables import find_tables, read_note_table
from pipeline.tidy.notes.walk import Walk
from pipeline.tidy.records import AS_WRITTEN_LENGTH
from pipeline.tidy.shorthand import expand_sets, notation_of
from pipeline.tidy.signals import DraftSignals, gather_signals, read_value

if TYPE_CHECKING:
    from pipeline.tidy.names import NameIndex

MOST_OF_NOTE = 300  # characters of remarks kept beside one exercise
LONG_S, LONG_M = 180, 400  # longer than any held set or carry: time on a bicycle


@dataclass(frozen=True)
class DraftNotes:
    """What a file of notes gave: draft sets, body weights, and the counts of its records.

    A record is a line, an exercise where a line has several, or a cell of a wide table.
    """

    sets: pl.DataFrame
    signals: DraftSignals
    n_read: int
    n_blank: int
    warnings: tuple[str, ...]


def draft_notes(
    raw: RawFile, limit: date, names: "NameIndex", exercises: pl.DataFrame
) -> DraftNotes:
    """Draft sets and body weights of notes.

    Parameters
    ----------
    raw : lines in the column ``LINE``.
    limit : the last day that can have been logged.
    exercises : table ``ref_exercise``.

    Raises
    ------
    InputError
        when no line has a date, or the years of the dates cannot be known.
    """
    pages = pages_of(raw)
    tables = find_tables(pages.lines)
    has_dates = any(raw.map.columns.get("date") in table.labels for table in tables)
    calendar = read_calendar(pages, raw, limit, has_dates)
    splitter = splitter_of(raw, names)
    walked = walk_notes(pages, calendar, splitter, names, exercises)
    walked = _without_cardio(walked, splitter, raw)
    found = [read_note_table(one, raw, walked.above, limit) for one in tables if one.places]
    drafts = [one.draft for one in found]
    drafts.append(_read_entries(walked, calendar, raw))
    sets = _join(drafts)
    weighings = _weigh(walked.weighings, raw)
    n_rows = sum(len(table.places) for table in tables)
    told = {one.place for one in walked.entries} | {one.place for one in walked.weighings}
    n_silent = len(pages.lines) - n_rows - len(told)
    n_told = len(walked.entries) + len(walked.weighings)
    return DraftNotes(
        sets=sets,
        signals=weighings,
        n_read=sum(one.n_read for one in found) + n_silent + n_told,
        n_blank=sum(one.n_blank for one in found) + n_silent,
        warnings=calendar.warnings,
    )


def write_lines(raw: RawFile, records: pl.DataFrame) -> pl.DataFrame:
    """``records`` with ``as_written``: the line as it stands in the file."""
    lines = raw.frame.select("row_no", pl.col(LINE).str.head(AS_WRITTEN_LENGTH).alias("as_written"))
    return records.join(lines, on="row_no", how="left", maintain_order="left")


def pages_of(raw: RawFile) -> Pages:
    """Lines of the file without their dress."""
    texts = [text or "" for text in raw.frame[LINE].to_list()]
    return read_layout(texts, raw.map.comments)


def splitter_of(raw: RawFile, names: "NameIndex") -> Splitter:
    """Tells names from sets in the notation of the map."""
    notation = notation_of(raw)

    def parse(text: str) -> str | None:
        try:
            return None if parse_sets(text, notation) else "no sets"
        except NotationError as error:
            at = f"from character {error.position + 1}: " if error.position else ""
            return at + error.remedy

    return Splitter(parse, names.resolve)


def walk_notes(
    pages: Pages,
    calendar: Calendar,
    splitter: Splitter,
    names: "NameIndex",
    exercises: pl.DataFrame,
) -> Walked:
    """Every line with its day and exercise."""
    on_body = exercises.filter(pl.col("default_load_basis").is_in(["added", "assisted"]))
    own = frozenset(on_body["exercise_id"])
    has_ticks = any(line.is_ticked for line in pages.lines)
    days = {line.place: line for line in calendar.days if line.place >= 0}
    walk = Walk(
        splitter=splitter,
        days=days,
        headings=calendar.headings,
        counts_alone=lambda name: names.resolve(name).exercise_id in own,
        start=calendar.start,
        has_ticks=has_ticks,
    )
    return walk.run(pages.lines)


def _without_cardio(walked: Walked, splitter: Splitter, raw: RawFile) -> Walked:
    """Without what was only timed or measured for long, or by nobody's exercise: no sets."""
    notation = notation_of(raw)
    kept: list[NoteEntry] = []
    remarks = list(walked.remarks)
    for one in walked.entries:
        if one.reason is None and _is_cardio(one, splitter, parse_sets(one.sets, notation)):
            remarks.append((one.place, f"{one.name} {one.sets}"))
        else:
            kept.append(one)
    return replace(walked, entries=tuple(kept), remarks=tuple(sorted(remarks)))


def _is_cardio(one: NoteEntry, splitter: Splitter, sets: Sequence[ParsedSet]) -> bool:
    """Only timed or measured, without a load: for long, or of an exercise that nobody knows."""
    is_counted = any(s.reps is not None or s.reps_target is not None or s.load for s in sets)
    is_long = any((s.duration_s or 0) >= LONG_S or (s.distance_m or 0) >= LONG_M for s in sets)
    return not is_counted and (is_long or not splitter.is_known(one.name or ""))


def _read_entries(walked: Walked, calendar: Calendar, raw: RawFile) -> pl.DataFrame:
    """Draft sets of all lines that are no tables."""
    notes = _notes_by_entry(walked, calendar)
    rows = pl.DataFrame(
        [
            {
                "record": at,
                "row_no": one.place + 1,
                "session_date": one.day,
                "session_text": one.part,
                "exercise_as_written": one.name,
                "sets_text": one.sets if one.reason is None else None,
                "superset_text": one.superset,
                "is_warmup_text": "w" if one.is_warmup else None,
                "note_text": notes.get(at),
                "reason": one.reason,
                "detail": one.detail,
            }
            for at, one in enumerate(walked.entries)
        ],
        schema=ENTRY_COLUMNS,
    )
    return expand_sets(rows, raw, "sets_text", "line")


ENTRY_COLUMNS: dict[str, pl.DataType] = {
    "record": pl.Int64(),
    "row_no": pl.Int64(),
    "session_date": pl.Date(),
    **dict.fromkeys(
        (
            *("session_text", "exercise_as_written", "sets_text", "superset_text"),
            *("is_warmup_text", "note_text", "reason", "detail"),
        ),
        pl.String(),
    ),
}


def _notes_by_entry(walked: Walked, calendar: Calendar) -> dict[int, str]:
    """Remarks beside the exercise above them, or the first one below; not across dates."""
    turns = sorted(line.place for line in calendar.days)
    events = [(place, 1, at, "") for at, place in enumerate(e.place for e in walked.entries)]
    events += [(place, 2, -1, text) for place, text in walked.remarks]
    events += [(place, 0, -1, "") for place in turns]
    notes: dict[int, list[str]] = {}
    waiting: list[str] = []
    last: int | None = None
    for _, kind, at, text in sorted(events):
        if kind == 0:
            waiting, last = [], None
        elif kind == 1:
            notes.setdefault(at, []).extend(waiting)
            waiting, last = [], at
        elif last is None:
            waiting.append(text)
        else:
            notes[last].append(text)
    return {at: "; ".join(told)[:MOST_OF_NOTE] for at, told in notes.items() if told}


def _join(drafts: Sequence[pl.DataFrame]) -> pl.DataFrame:
    """All draft sets in the order of the file, records and clusters numbered through."""
    parts: list[pl.DataFrame] = []
    shift = 0
    for place, draft in enumerate(drafts):
        parts.append(
            draft.with_columns(
                pl.selectors.categorical().cast(pl.String),  # each part has categories of its own
                pl.col("record") + shift,
                pl.format("{}:{}", pl.lit(place), "cluster").alias("cluster"),
            )
        )
        shift += int(draft["record"].max() or 0) + 1  # type: ignore[arg-type]
    return conform_draft(pl.concat(parts)).sort("row_no", maintain_order=True)


def _weigh(weighings: Sequence[Weighing], raw: RawFile) -> DraftSignals:
    """Body weights, one a day."""
    rows = [_weigh_one(at, one, raw) for at, one in enumerate(weighings)]
    schema = {
        "record": pl.Int64(),
        "row_no": pl.Int64(),
        "session_date": pl.Date(),
        **dict.fromkeys(("signal", "unit", "label", "cell_text", "date_text"), pl.String()),
        "value": pl.Float64(),
        "device_id": pl.String(),
        **dict.fromkeys(("reason", "detail"), pl.String()),
    }
    return gather_signals(pl.DataFrame(rows, schema=schema), raw, 0)


def _weigh_one(at: int, one: Weighing, raw: RawFile) -> dict[str, object]:
    found: dict[str, object] = {
        "record": at,
        "row_no": one.place + 1,
        "session_date": one.day,
        "signal": BODY_WEIGHT,
        "unit": "kg",
        "label": "body weight",
        "cell_text": one.text,
        "date_text": str(one.day or "no date"),
        "reason": one.reason,
        "detail": one.detail,
    }
    if one.day is None:
        return found
    unit = one.unit or _unit_on(one.day, raw)
    column = SignalColumn("body weight", BODY_WEIGHT, unit)
    try:
        return found | {"value": read_value(one.number.replace(",", "."), column, ".")}
    except CellError as fault:
        return found | {"reason": fault.reason, "detail": f"{one.text}: {fault.remedy}"}


def _unit_on(day: date, raw: RawFile) -> str:
    """The map's unit of load on a day."""
    before = [unit for changed, unit in raw.map.unit_changes if changed <= day]
    return before[-1] if before else raw.map.unit or "kg"
