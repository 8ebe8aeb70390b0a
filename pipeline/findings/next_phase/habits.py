"""How the lifter trains now: the programme of the last weeks, its size, and each lift's habits.

Weeks that count are trained and no deload. ``NOW_WEEKS`` of them are the programme of now, the last
``YEAR_WEEKS`` say how a lift is done and how long a session may be. A week holds as many sets as in
the last ``RECENT_WEEKS`` or the year, whichever is more: half a year of dieting is no limit.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record
from pipeline.models.arrays import Ints

# What counts as now, as of late and as a year, in weeks; the shares below likewise: chosen by us as
# common practice, no published source, not measured.
NOW_WEEKS = 8
RECENT_WEEKS = 26
YEAR_WEEKS = 52
# In the programme now: done in at least this share of the weeks of now. A lift of the past that was
# done in so few weeks was hardly learnt and is not proposed.
USED_SHARE = 0.25
LEARNT_WEEKS = 6
# The longest usual sessions are the limit, not the one odd day.
LONG_SESSION = 0.9
# A lift is taken to failure where at least this share of its sessions held such a set.
FAILURE_SHARE = 0.5


@dataclass(frozen=True)
class LiftHabit:
    """How one lift was done in the last year (or when it last was).

    Attributes
    ----------
    reps_low, reps_high : middle half of the repetitions.
    rir : median recorded reserve; None where none was recorded.
    failure_share : share of its sessions with a set to failure.
    """

    reps_low: int
    reps_high: int
    rir: float | None
    failure_share: float


@dataclass(frozen=True)
class Habits:
    """The programme as it is.

    Attributes
    ----------
    weekly_sets : of each lift, mean over the weeks of now; lifts in the programme now only.
    usual_days : sessions of the week, from 0, that hold each of them.
    learnt : lifts done in weeks enough to be proposed again, those of now included.
    sessions, all_sets, minutes : a week, a week, of a session: what is usual.
    """

    weekly_sets: Mapping[str, float]
    usual_days: Mapping[str, tuple[int, ...]]
    learnt: tuple[str, ...]
    sessions: int
    all_sets: float
    minutes: float


def ordinary_weeks(record: Record, n_weeks: int) -> Ints:
    """The last ``n_weeks`` trained weeks that were no deload; all trained ones without any."""
    usual = np.flatnonzero(record.trained & ~record.weeks_within("deload"))
    return (usual if usual.size else np.flatnonzero(record.trained))[-n_weeks:]


def read_habits(record: Record, minutes_of: Mapping[str, float]) -> Habits:
    """The programme of now; ``minutes_of`` a set of each lift."""
    now, recent = ordinary_weeks(record, NOW_WEEKS), ordinary_weeks(record, RECENT_WEEKS)
    done = _sessions(record)
    counted = done.filter(pl.col("week").is_in(now.tolist()))
    lifts = counted.group_by("exercise_id").agg(
        weeks=pl.col("week").n_unique(), sets=pl.col("sets").sum()
    )
    used = lifts.filter(pl.col("weeks") >= USED_SHARE * now.size).sort("exercise_id")
    ever = done.group_by("exercise_id").agg(weeks=pl.col("week").n_unique())
    learnt = set(ever.filter(pl.col("weeks") >= LEARNT_WEEKS)["exercise_id"])
    year = ordinary_weeks(record, YEAR_WEEKS)
    taken = done.filter(pl.col("week").is_in(year.tolist())).with_columns(
        minutes=pl.col("sets") * pl.col("exercise_id").replace_strict(minutes_of, default=0.0)
    )
    sessions = taken.group_by("week", "session_id").agg(pl.col("minutes").sum())
    return Habits(
        weekly_sets={one: sets / now.size for one, _, sets in used.rows()},
        usual_days=_find_days(counted, used["exercise_id"].to_list()),
        learnt=tuple(sorted(learnt | set(used["exercise_id"]))),
        sessions=round(float(np.median(sessions.group_by("week").len()["len"].to_numpy()))),
        all_sets=max(_mean_sets(done, weeks) for weeks in (recent, year)),
        minutes=float(np.quantile(sessions["minutes"].to_numpy(), LONG_SESSION)),
    )


def _mean_sets(done: pl.DataFrame, weeks: Ints) -> float:
    """Sets of all lifts a week."""
    return float(done.filter(pl.col("week").is_in(weeks.tolist()))["sets"].sum() / weeks.size)


def _sessions(record: Record) -> pl.DataFrame:
    """Sets by week, session and lift, with the session's place in its week."""
    sets = record.counted.group_by("week", "session_date", "session_id", "exercise_id").agg(
        sets=pl.len()
    )
    place = pl.struct("session_date", "session_id").rank("dense").over("week") - 1
    return sets.with_columns(day=place.cast(pl.Int64)).sort("week", "day", "exercise_id")


def _find_days(sets: pl.DataFrame, lifts: list[str]) -> dict[str, tuple[int, ...]]:
    """Of each lift as many sessions of the week as it usually has, those it mostly fell on."""
    found = {}
    for lift in lifts:
        own = sets.filter(pl.col("exercise_id") == lift)
        often = round(own.height / own["week"].n_unique())
        days = own.group_by("day").len().sort(["len", "day"], descending=[True, False])["day"]
        found[lift] = tuple(sorted(days.head(max(often, 1)).to_list()))
    return found


def read_lift_habit(record: Record, exercise_id: str) -> LiftHabit | None:
    """How a lift is done; None where no repetitions of it were ever written."""
    own = record.counted.filter((pl.col("exercise_id") == exercise_id) & (pl.col("reps") > 0))
    if own.is_empty():
        return None
    last = int(own["week"].max())  # type: ignore[arg-type]
    year = own.filter(pl.col("week") > last - YEAR_WEEKS)
    low, high = np.percentile(year["reps"].to_numpy(), [25, 75])
    read = year.filter((pl.col("rir_source") == "recorded") & pl.col("rir").is_not_null())["rir"]
    failed = year.group_by("session_id").agg(
        ((pl.col("to_failure").fill_null(False)) | (pl.col("rir").fill_null(1) == 0)).any()
    )
    return LiftHabit(
        round(low),
        round(high),
        float(np.median(read.to_numpy())) if len(read) else None,
        float(failed["to_failure"].mean()),  # type: ignore[arg-type]
    )
