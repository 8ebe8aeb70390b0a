"""Events that nobody told: deloads, layoffs and swaps found by rule, beside those in the journal.

The journal wins: where it tells of a deload or a layoff, no rule adds another on the same days.

A gap without training counts as time off only when the same file goes on after it, since then the
record was being kept; a gap at the border of two files, or a longer one than the setting allows,
stays unlogged: what happened there is not known. One whole week off is an event too, so that the
calendar knows it as rest (0 sets, not null), and its note says so: it is no layoff to any question
of easing off (``easing_weekly``), which begins with two whole weeks in a row.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.identity import event_id_of
from pipeline.findings.arrays import Record, column
from pipeline.models.pauses.deload_detect import detect_deloads, merge_declared
from pipeline.models.strength.rep_curve import log_factor

# Weeks between a lift that goes and the one that comes in its place; the least that both were
# trained for; after which a lift is new again; about a declared change of gym. Chosen by us, not
# measured.
SWAP_NEAR_WEEKS = 8
SWAP_LEAST_WEEKS = 6
AWAY_WEEKS = 26
GYM_NEAR_WEEKS = 4
REST_NOTE = "one week of rest"
# Kind, first and last day, subject, note.
Found = tuple[str, date, date, str | None, str | None]


@dataclass(frozen=True)
class Swap:
    """One lift gave way to another of the same movement pattern."""

    week: int
    before: str
    after: str
    why: str


def find_events(record: Record, levels: pl.DataFrame, longest_layoff_days: float) -> pl.DataFrame:
    """Told events and found ones together, in order of start; table ``tidy_event``."""
    found: list[Found] = [
        *_find_layoffs(record, longest_layoff_days),
        *_find_deloads(record, levels),
        *_swap_events(record),
    ]
    frames = [record.events, *(_event_row(record, *event) for event in found)]
    return pl.concat(frames).sort("start", "kind", "event_id")


def find_swaps(record: Record, sets: pl.DataFrame) -> list[Swap]:
    """Swaps among the lifts of ``sets``, in order of time.

    A lift (re)introduced for at least six weeks replaces the one of the same pattern that was
    done within eight weeks before and not again in the eight weeks that follow the first four.
    """
    pattern = dict(record.exercises.select("exercise_id", "pattern").rows())
    weeks = {
        key[0]: np.unique(part["week"].to_numpy()) for key, part in sets.group_by("exercise_id")
    }
    swaps = []
    for after in sorted(weeks):
        for start in _introductions(weeks[after]):
            before = _gave_way(after, start, weeks, pattern)
            if before is not None:
                swaps.append(Swap(start, before, after, _why(record, start, before)))
    return sorted(swaps, key=lambda swap: (swap.week, swap.after))


def _introductions(weeks: np.ndarray) -> Iterator[int]:
    starts = weeks[np.diff(weeks, prepend=weeks[0] - AWAY_WEEKS - 1) > AWAY_WEEKS]
    for start in starts:
        if np.sum((weeks >= start) & (weeks < start + AWAY_WEEKS)) >= SWAP_LEAST_WEEKS:
            yield int(start)


def _gave_way(
    after: str, start: int, weeks: dict[str, np.ndarray], pattern: dict[str, str]
) -> str | None:
    """The lift most done in the half year before that stopped, or None."""
    best, most = None, SWAP_LEAST_WEEKS - 1
    for other, done in sorted(weeks.items()):
        if other == after or pattern.get(other) != pattern.get(after) or after not in pattern:
            continue
        near = np.any((done >= start - SWAP_NEAR_WEEKS) & (done < start))
        again = np.any((done >= start + 4) & (done < start + 4 + SWAP_NEAR_WEEKS))
        count = int(np.sum((done >= start - AWAY_WEEKS) & (done < start)))
        if near and not again and count > most:
            best, most = other, count
    return best


def _why(record: Record, week: int, before: str) -> str:
    day = record.week_start(week)
    told = record.events.filter(pl.col("kind").is_in(["injury", "gym_change"]))
    for kind, start, end, out in told.select("kind", "start", "end", "lifts_out").rows():
        if kind == "injury" and start - timedelta(weeks=3) <= day <= (end or day):
            if before in (out or "").split():
                return "injury"
        elif kind == "gym_change" and abs((day - start).days) <= 7 * GYM_NEAR_WEEKS:
            return "gym change"
    return "own choice"


def _find_layoffs(record: Record, longest_days: float) -> Iterator[Found]:
    """Whole weeks off inside one file, up to ``longest_days``, that the journal does not tell."""
    told = record.weeks_within("layoff")
    files = record.working.group_by("session_date").agg(pl.col("file_id").unique())
    days = files.sort("session_date").rows()
    for (last, files_before), (back, files_after) in pairwise(days):
        gap = (back - last).days
        first_week, next_week = record.week_of(last) + 1, record.week_of(back)
        is_whole = next_week > first_week and not told[first_week:next_week].any()
        if is_whole and gap <= longest_days and set(files_before) & set(files_after):
            note = REST_NOTE if next_week - first_week == 1 else None
            yield "layoff", last + timedelta(days=1), back - timedelta(days=1), None, note


def _find_deloads(record: Record, levels: pl.DataFrame) -> Iterator[Found]:
    told = np.flatnonzero(record.weeks_within("deload"))
    sessions = _sessions(record, levels)
    weeks = detect_deloads(
        sessions["week"].to_numpy(),
        column(sessions, "sets"),
        column(sessions, "relative_load"),
        record.n_weeks,
        record.trained,
    )
    for deload in merge_declared(weeks, told):
        if deload.evidence == "rule":
            start = record.week_start(deload.week)
            yield "deload", start, start + timedelta(days=6), None, None


def _sessions(record: Record, levels: pl.DataFrame) -> pl.DataFrame:
    """Sessions with working sets and mean load over what the level allowed at those repetitions."""
    sets = record.with_week_start(record.counted)
    known = levels.select("exercise_id", "week_start", "level_log")
    sets = sets.join(known, on=["exercise_id", "week_start"], how="left")
    load = np.where(column(sets, "load_moved_kg") > 0, column(sets, "load_moved_kg"), np.nan)
    reps = np.clip(column(sets, "reps"), 1.0, None)
    relative = np.exp(np.log(load) + log_factor(reps) - column(sets, "level_log"))
    sets = sets.with_columns(relative=pl.Series(relative).fill_nan(None))
    return (
        sets.group_by("session_id")
        .agg(week=pl.col("week").first(), sets=pl.len(), relative_load=pl.col("relative").mean())
        .sort("week", "session_id")
    )


def _swap_events(record: Record) -> Iterator[Found]:
    for swap in find_swaps(record, record.counted):
        day = record.week_start(swap.week)
        yield "swap", day, day, f"{swap.before} {swap.after}", None


def _event_row(
    record: Record,
    kind: str,
    start: date,
    end: date,
    subject: str | None,
    note: str | None,
) -> pl.DataFrame:
    lifter_id = record.lifter.lifter_id
    row = {
        "event_id": event_id_of(lifter_id, kind, start, subject),
        "lifter_id": lifter_id,
        "kind": kind,
        "start": start,
        "end": end,
        "subject": subject,
        "evidence": "rule",
        "note": note,
    }
    return conform("tidy_event", pl.DataFrame([row]))
