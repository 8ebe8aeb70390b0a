"""One lifter's tidy tables as the arrays that the models take.

Weeks are numbered from that of the first set and start on the weekday that the lifter chose.
Everything here is bookkeeping: which sets may speak of strength, which weeks are left out of what,
and which equipment a set was done on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import cast

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.core.calendar import DAYS_PER_YEAR, week_start_of, week_starts_of
from pipeline.core.page_book import LifterInfo
from pipeline.models.arrays import Bools, Floats, Ints

SEGMENTED = ("machine", "cable")
INDIRECT_COUNTS = 0.5


@dataclass(frozen=True)
class Record:
    """One lifter's sets, events and reference, on one calendar of weeks.

    Parameters
    ----------
    lifter : whose record.
    sets : ``tidy_set`` rows, in order; doubted sets and warm-ups included.
    events : ``tidy_event`` rows.
    exercises, contributions : reference frames, ancestors expanded.
    """

    lifter: LifterInfo
    sets: pl.DataFrame
    events: pl.DataFrame
    exercises: pl.DataFrame
    contributions: pl.DataFrame

    @cached_property
    def _usable(self) -> pl.DataFrame:
        """No warm-ups, and no doubted sets: a mistyped year would make decades of weeks."""
        return self.sets.filter(~pl.col("is_warmup") & ~pl.col("is_doubted"))

    @property
    def has_sets(self) -> bool:
        """There is something to count; without it nothing else here can be asked."""
        return not self._usable.is_empty()

    @cached_property
    def first_week(self) -> date:
        """First day of the week of the first working set."""
        return self.week_start_of(earliest(self._usable["session_date"]))

    @cached_property
    def last_day(self) -> date:
        """Day of the last working set."""
        return latest(self._usable["session_date"])

    @cached_property
    def n_weeks(self) -> int:
        """Weeks from the first to the last set, both included."""
        return self.week_of(self.last_day) + 1

    def week_start_of(self, day: date) -> date:
        """First day of the week that holds ``day``."""
        return week_start_of(day, self.lifter.week_starts)

    def with_week_start(self, sets: pl.DataFrame) -> pl.DataFrame:
        """``sets`` with week_start, the first day of the week of their session."""
        days = week_starts_of(pl.col("session_date"), self.lifter.week_starts)
        return sets.with_columns(week_start=days)

    def week_start(self, week: int | np.integer) -> date:
        """First day of a week."""
        return self.first_week + timedelta(weeks=int(week))

    def week_of(self, day: date) -> int:
        """Week number of a day; may lie outside the record."""
        return (self.week_start_of(day) - self.first_week).days // 7

    @cached_property
    def training_age(self) -> Floats:
        """(n_weeks,) training age in years on the first day of each week."""
        began = (self.first_week - self.lifter.training_began).days
        return np.asarray((began + 7.0 * np.arange(self.n_weeks)) / DAYS_PER_YEAR, np.float64)

    @cached_property
    def working(self) -> pl.DataFrame:
        """Working sets with their week number: no warm-ups, no doubted sets."""
        return self._usable.with_columns(
            week=((pl.col("session_date") - self.first_week).dt.total_days() // 7).cast(pl.Int64)
        )

    @cached_property
    def counted(self) -> pl.DataFrame:
        """Working sets that count as one each: straight sets and parents of drop clusters."""
        return self.working.filter(pl.col("segment_no") == 1)

    @cached_property
    def strength_sets(self) -> pl.DataFrame:
        """Counted sets whose load moved and repetitions are known: they may speak of strength."""
        return self.counted.filter(
            pl.col("load_moved_kg").is_not_null() & (pl.col("load_moved_kg") > 0)
        ).filter(
            pl.col("reps").is_not_null() & (pl.col("reps") > 0) & pl.col("superset_id").is_null()
        )

    @cached_property
    def segment_of_week(self) -> Ints:
        """(n_weeks,) equipment segment: a new number at each change of gym."""
        segment = np.zeros(self.n_weeks, dtype=np.int64)
        for start in self.events.filter(pl.col("kind") == "gym_change")["start"].sort():
            segment[max(self.week_of(start), 0) :] += 1
        return segment

    @cached_property
    def trained(self) -> Bools:
        """(n_weeks,) weeks with at least one working set."""
        counts = np.bincount(self.counted["week"].to_numpy(), minlength=self.n_weeks)
        return counts > 0

    def weeks_within(self, *kinds: str) -> Bools:
        """(n_weeks,) weeks that events of these kinds touch, of a deload those that it makes light;
        an open one lasts as ``last_day_of`` says."""
        return self._weeks_of(self.events.filter(pl.col("kind").is_in(kinds)))

    def loose_weeks(self, exercise_ids: Iterable[str]) -> Bools:
        """(n_weeks,) weeks in which these lifts may change fast: layoffs, and injuries that put
        one of them out of the programme."""
        injuries = self._injuries(exercise_ids, is_unnamed_meant=False)
        return self.weeks_within("layoff") | self._weeks_of(injuries)

    def _weeks_of(self, events: pl.DataFrame) -> Bools:
        mask = np.zeros(self.n_weeks, dtype=bool)
        for kind, start, end in events.select("kind", "start", "end").rows():
            last = self.last_day_of(kind, start, end)
            touched = self.weeks_from(start, last)
            mask |= self._light_weeks(touched, start, last) if kind == "deload" else touched
        return mask

    def weeks_from(self, start: date, end: date) -> Bools:
        """(n_weeks,) weeks of the days from ``start`` to ``end``, both included."""
        mask = np.zeros(self.n_weeks, dtype=bool)
        mask[max(self.week_of(start), 0) : max(self.week_of(end) + 1, 0)] = True
        return mask

    def _light_weeks(self, touched: Bools, start: date, end: date) -> Bools:
        """Of the weeks that a deload touches, those with training in it and those without any.

        A deload from Monday to Sunday ends on the first day of a week where weeks start on Sunday:
        that week is ordinary unless the lifter trained on that Sunday.
        """
        inside = self._training_days.filter(self._training_days.is_between(start, end))
        if inside.is_empty():
            return touched
        light = np.zeros(self.n_weeks, dtype=bool)
        light[[self.week_of(day) for day in inside]] = True
        return touched & (light | ~self.trained)

    def last_day_of(self, kind: str, start: date, end: date | None) -> date:
        """Last day of an event. Told without one, a deload lasts a week and a layoff until the next
        training day, as the calendar of weeks has it; anything else still goes on."""
        if end is not None:
            return end
        if kind == "deload":
            return start + timedelta(days=6)
        later = self._training_days.filter(self._training_days > start)
        if kind == "layoff" and not later.is_empty():
            return later[0] - timedelta(days=1)
        return max(self.last_day, start)

    @cached_property
    def _training_days(self) -> pl.Series:
        return self._usable["session_date"].unique().sort()

    def injured_weeks(self, exercise_ids: Iterable[str]) -> Bools:
        """(n_weeks,) weeks of injuries that put one of these lifts out, or that name no lift."""
        return self._weeks_of(self._injuries(exercise_ids, is_unnamed_meant=True))

    def _injuries(self, exercise_ids: Iterable[str], is_unnamed_meant: bool) -> pl.DataFrame:
        lifts = set(exercise_ids)
        injuries = self.events.filter(pl.col("kind") == "injury")
        hit = [
            not lifts.isdisjoint(out.split()) if out else is_unnamed_meant
            for out in injuries["lifts_out"].to_list()
        ]
        return injuries.filter(pl.Series(hit, dtype=pl.Boolean))

    @cached_property
    def unlogged(self) -> Bools:
        """(n_weeks,) weeks without sets and without a known reason."""
        return ~self.trained & ~self.weeks_within("layoff")

    @cached_property
    def equipment(self) -> dict[str, str]:
        """Equipment by exercise."""
        return dict(self.exercises.select("exercise_id", "equipment").rows())

    @cached_property
    def names(self) -> dict[str, str]:
        """Plain name by exercise; an unmatched one goes by the words in the source."""
        return dict(self.exercises.select("exercise_id", "name").rows())

    def name_of(self, exercise_id: str) -> str:
        """Plain name of an exercise, as a sentence begins with it."""
        name = self.names.get(exercise_id, exercise_id.removeprefix("unmatched:"))
        return name[:1].upper() + name[1:]

    @cached_property
    def muscles_of(self) -> dict[str, tuple[tuple[str, ...], tuple[str, ...]]]:
        """(direct, indirect) muscles by exercise, ancestors included."""
        found: dict[str, tuple[list[str], list[str]]] = {}
        for exercise, muscle, role in self.contributions.rows():
            found.setdefault(exercise, ([], []))[role == "indirect"].append(muscle)
        return {key: (tuple(direct), tuple(other)) for key, (direct, other) in found.items()}

    @cached_property
    def weekly_sets(self) -> dict[str, Floats]:
        """(n_weeks,) fractional weekly sets by muscle: direct 1, indirect 0.5; nan if unlogged."""
        return self.count_weekly_sets()

    def count_weekly_sets(
        self, drop_counts: float = 0.0, indirect_counts: float = INDIRECT_COUNTS
    ) -> dict[str, Floats]:
        """Weekly sets by muscle under another counting rule.

        A drop counts ``drop_counts`` on top of its parent set, a set of an exercise that trains
        the muscle indirectly ``indirect_counts``; (n_weeks,) each, nan in unlogged weeks.
        """
        size = pl.when(pl.col("segment_no") == 1).then(1.0).otherwise(drop_counts)
        counts = self.working.group_by("exercise_id", "week").agg(size.sum().alias("sets"))
        total: dict[str, Floats] = {}
        for exercise, week, sets in counts.rows():
            direct, indirect = self.muscles_of.get(exercise, ((), ()))
            for muscles, share in ((direct, 1.0), (indirect, indirect_counts)):
                for muscle in muscles:
                    total.setdefault(muscle, np.zeros(self.n_weeks))[week] += share * sets
        for weekly in total.values():
            weekly[self.unlogged] = np.nan
        return total

    def recent_sets_of_lift(self, exercise_id: str) -> Floats:
        """(n_weeks,) mean weekly sets of the muscles that the lift trains directly."""
        direct, _ = self.muscles_of.get(exercise_id, ((), ()))
        rows = [self.weekly_sets[muscle] for muscle in direct if muscle in self.weekly_sets]
        return np.mean(rows, axis=0) if rows else np.zeros(self.n_weeks)


def earliest(days: pl.Series) -> date:
    """First day of a series of days that is not empty."""
    return cast(date, days.min())


def latest(days: pl.Series) -> date:
    """Last day of a series of days that is not empty."""
    return cast(date, days.max())


def column(frame: pl.DataFrame, name: str) -> Floats:
    """A numeric column as floats, null as nan."""
    return frame[name].cast(pl.Float64).fill_null(np.nan).to_numpy()


def strength_arrays(record: Record, sets: pl.DataFrame) -> dict[str, NDArray]:
    """The arrays that ``fit_lift_level`` and ``fit_muscle_index`` share, in the order performed.

    A reserve estimated from a fitted level is no reading: handed back to a strength model it would
    confirm that level and narrow every interval. It goes in as not recorded.
    """
    week = sets["week"].to_numpy()
    read = sets.with_columns(
        rir=pl.when(pl.col("rir_source") == "estimated").then(None).otherwise("rir")
    )
    return {
        "week": week,
        "load_kg": column(sets, "load_moved_kg"),
        "reps": column(sets, "reps"),
        "rir": column(read, "rir"),
        "session": sets["session_id"].rank("dense").cast(pl.Int64).to_numpy(),
        "segment": record.segment_of_week[week],
    }
