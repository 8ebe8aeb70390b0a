"""Plans that were accepted: ``plans/<lifter>/<first day>.csv``, written once, then the user's.

One row a lift, session and week; whoever trains by it may change sets, lifts and sessions by hand.
Columns: week (from 1), easing (yes or no), day (session of the week), place (in the session),
exercise (its id), sets, reps_low, reps_high, rir, to_failure (yes or no). Repetitions and reserve
may be empty. Days of the week are not said: a week starts on the lifter's weekday, as everywhere.

Sets done are counted by such weeks, so a plan whose first day starts none is not held against them:
its sums would be those of other days. That happens to every plan once ``week_starts`` is changed;
the message names the week that shares most days with the plan's first.
"""

import csv
import io
from collections.abc import Collection, Mapping
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.core.calendar import iso_weekday, nearest_week_start
from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError, nearest
from pipeline.core.identity import hash_of
from pipeline.core.plan_weeks import COLUMNS
from pipeline.core.settings import read_user_text

YES_NO = {"yes": True, "no": False}
# Column: lowest, highest, may be empty. Sets and weeks as a proposal may have, and some room.
LIMITS = {
    "week": (1, 52, False),
    "day": (1, 14, False),
    "place": (1, 99, False),
    "sets": (1, 40, False),
    "reps_low": (1, 200, True),
    "reps_high": (1, 200, True),
}
RESERVE = (0.0, 20.0)


def plan_id_of(lifter_id: str, start: date) -> str:
    """Id of an accepted plan, the same every night."""
    return hash_of(lifter_id, "plan", start.isoformat())


def read_plan(path: Path, lifter_id: str, known: Collection[str], week_starts: str) -> pl.DataFrame:
    """Table ``tidy_plan`` of one file.

    Parameters
    ----------
    path : its name is the first day of its first week, 2026-03-02.csv.
    known : ids of exercises.
    week_starts : weekday that the lifter's weeks start on.

    Raises
    ------
    SettingsError
        naming file, line and column, the value and what is allowed; for an unknown exercise the
        nearest known one.
    """
    shown = f"plans/{path.parent.name}/{path.name}"
    start = _read_start(shown, path.stem, lifter_id, week_starts)
    reader = csv.DictReader(io.StringIO(read_user_text(path, shown)))
    missing = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
    if missing:
        raise SettingsError(f"{shown} line 1: no column {missing[0]!r}: add it")
    rows = [_read_row(f"{shown} line {reader.line_num}", row, known) for row in reader]
    if not rows:
        raise SettingsError(f"{shown}: no row under the head: remove the file or fill it")
    whose = {"lifter_id": lifter_id, "plan_id": plan_id_of(lifter_id, start), "start": start}
    frame = pl.DataFrame([whose | row for row in rows], infer_schema_length=None)
    later = pl.duration(weeks=pl.col("week") - 1)
    return conform("tidy_plan", frame.with_columns(week_start=pl.col("start") + later))


def _read_start(shown: str, stem: str, lifter_id: str, week_starts: str) -> date:
    try:
        start = date.fromisoformat(stem)
    except ValueError:
        raise SettingsError(f"{shown}: name it by its first day, e.g. 2026-03-02.csv") from None
    if start.isoweekday() != iso_weekday(week_starts):
        right = nearest_week_start(start, week_starts)
        raise SettingsError(
            f"{shown}: {start} is no {week_starts.title()}, and weeks of {lifter_id} start "
            f"on that day (week_starts in settings.toml): name it {right}.csv"
        )
    return start


def _read_row(
    where: str, row: Mapping[str, str | None], known: Collection[str]
) -> dict[str, object]:
    read: dict[str, object] = {name: _read_count(where, name, row[name]) for name in LIMITS}
    exercise = (row["exercise"] or "").strip()
    if exercise not in known:
        near = nearest(exercise, known)
        raise SettingsError(f"{where}: exercise {exercise!r} is not known: did you mean {near}?")
    for name in ("easing", "to_failure"):
        word = (row[name] or "").strip().casefold()
        if word not in YES_NO:
            raise SettingsError(f"{where}: {name} = {word!r}: yes or no")
        read["is_easing" if name == "easing" else name] = YES_NO[word]
    return read | {"exercise_id": exercise, "rir": _read_reserve(where, row["rir"])}


def _read_count(where: str, name: str, text: str | None) -> int | None:
    low, high, is_optional = LIMITS[name]
    told = (text or "").strip()
    if not told and is_optional:
        return None
    if not (told.isascii() and told.isdigit() and low <= int(told) <= high):
        raise SettingsError(f"{where}: {name} = {told!r}: a whole number from {low} to {high}")
    return int(told)


def _read_reserve(where: str, text: str | None) -> float | None:
    told = (text or "").strip()
    if not told:
        return None
    low, high = RESERVE
    try:
        value = float(told)
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        raise SettingsError(f"{where}: rir = {told!r}: a number from {low:g} to {high:g}, or empty")
    return value
