"""Evidence that two parts of a record hold the same training: lifts and days that agree.

A part is a file, or a stretch of one file that tells a day again. One equal lift may be chance or a
second session; a day of equal lifts, or a run of such days, is not.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations

import polars as pl

from pipeline.tidy.copy_match import ONCE, SAME, WrittenSet, match_sets

# All limits here: common practice, no published source.
# Share of the lifts that both parts have on a day, and of the lifts of the shorter of the two.
AGREEING_SHARE = 0.7
SHORTER_SHARE = 0.5
# Loaded lifts that agree on one day, so that the day speaks for itself.
LIFTS_OF_A_DAY = 3
# Days that agree within so many days around, and their share of the days in both parts there.
RUN_DAYS = timedelta(days=21)
RUN_LENGTH = 3
RUN_SHARE = 0.6
DAY_LIFT = ("lifter_id", "session_date", "exercise_id")
AMOUNTS = ("reps", "duration_s", "distance_m", "segment_no")


@dataclass(frozen=True)
class LiftDay:
    """The sets of one lift on one day in one part, and the parts of the day they are from."""

    sets: tuple[WrittenSet, ...]
    sessions: frozenset[str]

    @property
    def has_load(self) -> bool:
        """Loaded sets tell more than sets of body weight, which repeat from day to day."""
        return any(s.load_kg for s in self.sets)


@dataclass(frozen=True)
class Copy:
    """A lift of a day that parts ``first`` and ``second`` both hold; ``how`` they differ."""

    lifter_id: str
    day: date
    exercise_id: str
    first: str
    second: str
    how: str
    n_first: int
    n_second: int


@dataclass(frozen=True)
class _SharedDay:
    """What two parts share on a day: lifts that agree (exercise to copy) of ``n_shared``."""

    day: date
    agreeing: Mapping[str, Copy]
    telling: frozenset[str]
    n_shared: int
    n_shorter: int

    @property
    def is_mostly_shared(self) -> bool:
        return len(self.agreeing) >= SHORTER_SHARE * self.n_shorter

    @property
    def agrees(self) -> bool:
        return (
            bool(self.telling)
            and self.is_mostly_shared
            and len(self.agreeing) >= AGREEING_SHARE * self.n_shared
        )

    @property
    def speaks_for_itself(self) -> bool:
        exact = [one for one in self.telling if self.agreeing[one].how != ONCE]
        return self.agrees and len(exact) >= LIFTS_OF_A_DAY


def find_copies(sets: pl.DataFrame, part: str, *, are_files: bool) -> Iterator[Copy]:
    """Lifts and days that stand in two parts, by pair of parts in order of their names.

    Parameters
    ----------
    sets : rows of ``tidy_set`` with the text column ``part``, which sorts in order of precedence.
    are_files : parts are files. Then a loaded lift of two or more sets that is the same in both
        is a copy by itself; within one file it takes a run of days.
    """
    lift_days, n_lifts = _collect(sets, part)
    pairs: dict[tuple[str, str, str], dict[date, list[str]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for (lifter, day, lift), by_part in lift_days.items():
        for first, second in combinations(sorted(by_part), 2):
            pairs[lifter, first, second][day].append(lift)
    for lifter, first, second in sorted(pairs):
        shared = [
            _compare(lift_days, n_lifts, (lifter, day, first, second), lifts, are_files)
            for day, lifts in sorted(pairs[lifter, first, second].items())
        ]
        days = [one.day for one in shared]
        for one in shared:
            first_near = bisect_left(days, one.day - RUN_DAYS)
            near = shared[first_near : bisect_right(days, one.day + RUN_DAYS)]
            yield from _believe(one, near, are_files)


def _believe(one: _SharedDay, near: Sequence[_SharedDay], are_files: bool) -> Iterable[Copy]:
    """The copies of a day that there is evidence for; ``near`` are the shared days around it."""
    is_alone_enough = are_files and one.speaks_for_itself
    if is_alone_enough or (one.agrees and _is_run(near)):
        return one.agreeing.values()
    if not are_files or not one.is_mostly_shared:
        return ()
    return [copy for lift, copy in one.agreeing.items() if copy.how == SAME and lift in one.telling]


def _is_run(near: Sequence[_SharedDay]) -> bool:
    n_agreeing = sum(other.agrees for other in near)
    return n_agreeing >= RUN_LENGTH and n_agreeing >= RUN_SHARE * len(near)


def _compare(
    lift_days: Mapping[tuple[str, date, str], Mapping[str, LiftDay]],
    n_lifts: Mapping[tuple[str, date, str], int],
    place: tuple[str, date, str, str],
    lifts: Sequence[str],
    are_files: bool,
) -> _SharedDay:
    lifter, day, first, second = place
    agreeing, telling = {}, set()
    for lift in lifts:
        one, other = (lift_days[lifter, day, lift][part] for part in (first, second))
        how = None if _are_apart(one, other) else match_sets(one.sets, other.sets)
        if how is None:
            continue
        sizes = len(one.sets), len(other.sets)
        agreeing[lift] = Copy(lifter, day, lift, first, second, how, *sizes)
        # A file sorted by number of set tells every day again, one set at a time.
        if one.has_load and (max(sizes) if are_files else min(sizes)) > 1:
            telling.add(lift)
    shorter = min(n_lifts[lifter, day, part] for part in (first, second))
    return _SharedDay(day, agreeing, frozenset(telling), len(lifts), shorter)


def _are_apart(one: LiftDay, other: LiftDay) -> bool:
    """Both say the part of the day, and not the same one."""
    return bool(one.sessions and other.sessions) and not one.sessions & other.sessions


def _collect(
    sets: pl.DataFrame, part: str
) -> tuple[dict[tuple[str, date, str], dict[str, LiftDay]], dict[tuple[str, date, str], int]]:
    """Lifts and days that stand in two parts, each with its sets by part; lifts by day and part."""
    places = sets.lazy().select(*DAY_LIFT, part).unique()
    in_two = places.group_by(DAY_LIFT).len().filter(pl.col("len") > 1).select(DAY_LIFT).collect()
    if in_two.is_empty():
        return {}, {}
    counts = places.group_by("lifter_id", "session_date", part).len().collect()
    n_lifts = {(lifter, day, one): n for lifter, day, one, n in counts.iter_rows()}
    day = pl.format("{}|{}", "lifter_id", "session_date")
    rows = sets.join(in_two, on=DAY_LIFT, how="semi", maintain_order="left").select(
        *DAY_LIFT,
        part,
        pl.col("load_kg").fill_null(0.0),
        pl.concat_list(pl.col(name).cast(pl.Float64).fill_null(0.0).round(1) for name in AMOUNTS),
        "is_warmup",
        "unit_as_written",
        "load_basis",
        pl.col("session_id").str.strip_prefix(day).alias("session"),
    )
    found: dict[tuple[str, date, str], dict[str, LiftDay]] = defaultdict(dict)
    groups = rows.group_by(*DAY_LIFT, part, maintain_order=True).agg(pl.all())
    for lifter, when, lift, name, *columns, sessions in groups.iter_rows():
        written = tuple(
            WrittenSet(load, tuple(amount), warm, unit, basis)
            for load, amount, warm, unit, basis in zip(*columns, strict=True)
        )
        said = frozenset(one for one in sessions if one)
        found[lifter, when, lift][name] = LiftDay(written, said)
    return found, n_lifts
