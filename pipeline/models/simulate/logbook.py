"""The logbook's rows: working sets with their warm-ups and drops, in the order performed."""

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Bools, Ints

from .options import CareerOptions
from .programme import Bouts
from .records import SimSets
from .repetitions import repetitions_at
from .sets import DayForm, WorkingSets, write_reserve
from .timeline import Timeline
from .traits import Traits

_Rows = dict[str, np.ndarray]
# Warm-ups: share of the working load, repetitions.
_WARMUPS: tuple[tuple[float, int], ...] = ((0.4, 8), (0.6, 5), (0.8, 3))


def write_logbook(
    rng: Generator,
    traits: Traits,
    options: CareerOptions,
    timeline: Timeline,
    bouts: Bouts,
    form: DayForm,
    done: WorkingSets,
) -> SimSets:
    """All rows of the logged weeks as arrays in the order performed."""
    parents = _parent_rows(rng, traits, bouts, done)
    warmups = _warmup_rows(rng, traits, options, bouts, form, done)
    drops = _drop_rows(rng, traits, options, bouts, form, parents)
    rows = {
        name: np.concatenate([part[name] for part in (parents, warmups, *drops)])
        for name in parents
    }
    rows = _sort_and_number(bouts, form, timeline, traits, rows)
    bout = rows["bout"]
    return SimSets(
        week=bouts.week[bout],
        day=form.day[bout],
        session=rows["session"],
        exercise=bouts.lift[bout],
        set_no=rows["set_no"],
        is_warmup=rows["is_warmup"],
        load_kg=rows["load_kg"],
        load_moved_kg=rows["load_kg"] + np.round(form.carried_kg[bout], 2),
        reps=rows["reps"],
        rir=rows["rir"],
        true_rir=rows["left"],
        to_failure=rows["to_failure"],
        cluster=rows["cluster"],
        segment_no=rows["segment_no"],
        gym=form.gym[bout],
    )


def _parent_rows(rng: Generator, traits: Traits, bouts: Bouts, done: WorkingSets) -> _Rows:
    n = len(done.bout)
    week = bouts.week[done.bout]
    return {
        "bout": done.bout,
        "part": done.part.astype(float),
        "is_warmup": np.zeros(n, dtype=bool),
        "load_kg": done.load_kg,
        "reps": done.reps,
        "left": done.left,
        "rir": write_reserve(rng, traits, week, done.left, done.to_failure),
        "to_failure": done.to_failure,
        "cluster": np.full(n, -1),
        "segment_no": np.ones(n, dtype=np.int64),
        "strength": done.strength,
    }


def _warmup_rows(
    rng: Generator,
    traits: Traits,
    options: CareerOptions,
    bouts: Bouts,
    form: DayForm,
    done: WorkingSets,
) -> _Rows:
    """Up to three lighter sets before a heavy compound, in the weeks when they were written."""
    first, last = np.sort(rng.uniform(0, 1.2, 2)) * traits.n_weeks
    if options.script is not None and options.script.warmups_from is not None:
        first, last = (options.script.warmups_from - traits.start).days // 7, traits.n_weeks
    heavy = np.array([lift.exercise.is_compound for lift in traits.lifts])[bouts.lift]
    logged = heavy & (bouts.week >= first) & (bouts.week <= last) & (form.carried_kg == 0)
    opener = (done.part == 0) & logged[done.bout]
    rows = [_warmup(form, done, opener, *step, at) for at, step in enumerate(_WARMUPS)]
    return {name: np.concatenate([row[name] for row in rows]) for name in rows[0]}


def _warmup(
    form: DayForm, done: WorkingSets, opener: Bools, share: float, reps: int, at: int
) -> _Rows:
    bout = done.bout[opener]
    grid = form.grid_kg[bout]
    load = np.maximum(np.round(share * done.load_kg[opener] / grid), 1) * grid
    n = len(bout)
    gap = form.strength[bout] - np.log(load)
    left = np.maximum(np.floor(repetitions_at(gap, form.ease[bout])) - reps, 0.0)
    return {
        "bout": bout,
        "part": np.full(n, at - 10.0),
        "is_warmup": np.ones(n, dtype=bool),
        "load_kg": load,
        "reps": np.full(n, reps),
        "left": left,
        "rir": np.full(n, np.nan),
        "to_failure": np.zeros(n, dtype=bool),
        "cluster": np.full(n, -1),
        "segment_no": np.ones(n, dtype=np.int64),
        "strength": form.strength[bout],
    }


def _drop_rows(
    rng: Generator,
    traits: Traits,
    options: CareerOptions,
    bouts: Bouts,
    form: DayForm,
    parents: _Rows,
) -> list[_Rows]:
    """Some sets to failure go on with one or two lighter segments; marks their parents too."""
    first = rng.uniform(0, 0.4) * traits.n_weeks
    if options.script is not None and options.script.drops_from is not None:
        first = (options.script.drops_from - traits.start).days // 7
    safe = np.array([lift.can_fail_safely for lift in traits.lifts])[bouts.lift]
    safe &= (form.carried_kg == 0) & (bouts.week >= first)
    share = traits.habits.drop_share
    goes_on = parents["to_failure"] & safe[parents["bout"]]
    goes_on &= rng.random(len(goes_on)) < 2.5 * share
    current = {name: values[goes_on] for name, values in parents.items()}
    current["cluster"] = np.flatnonzero(goes_on)
    segments: list[_Rows] = []
    for chance in (1.0, 0.4):
        current = _drop(rng, form, current, chance)
        segments.append(current)
    begun = np.unique(segments[0]["cluster"])
    parents["cluster"][begun] = begun
    return segments


def _drop(rng: Generator, form: DayForm, before: _Rows, chance: float) -> _Rows:
    """The next segment: 20-50 % lighter, on the grid, without rest, to failure.

    Without rest about as much strength is gone as load was taken off, so that the repetitions
    come near the parent's (common practice, no published source).
    """
    grid = form.grid_kg[before["bout"]]
    load = np.floor(before["load_kg"] * rng.uniform(0.5, 0.8, len(grid)) / grid) * grid
    keep = (load >= grid) & (rng.random(len(grid)) < chance)
    after = {name: values[keep].copy() for name, values in before.items()}
    lighter = np.log(after["load_kg"] / load[keep])
    after["load_kg"] = load[keep]
    after["strength"] = after["strength"] - rng.uniform(0.85, 1.15, len(lighter)) * lighter
    gap = after["strength"] - np.log(after["load_kg"])
    allowed = repetitions_at(gap, form.ease[after["bout"]])
    after["reps"] = np.clip(np.floor(allowed), 2, 20).astype(np.int64)
    after["rir"] = np.full(len(gap), np.nan)
    after["left"] = np.zeros(len(gap))
    after["segment_no"] = after["segment_no"] + 1
    return after


def _sort_and_number(
    bouts: Bouts, form: DayForm, timeline: Timeline, traits: Traits, rows: _Rows
) -> _Rows:
    """Order of performance (compounds first), sessions and sets numbered, lost weeks left out."""
    logged = timeline.is_logged[bouts.week[rows["bout"]]]
    rows = {name: values[logged] for name, values in rows.items()}
    late = ~np.array([lift.exercise.is_compound for lift in traits.lifts])[bouts.lift]
    bout = rows["bout"]
    keys = (rows["segment_no"], rows["part"], bouts.lift[bout], late[bout], form.day[bout])
    order = np.lexsort(keys)
    rows = {name: values[order] for name, values in rows.items()}
    rows["session"] = np.unique(form.day[rows["bout"]], return_inverse=True)[1]
    rows["set_no"] = _number_within(rows["bout"], rows["segment_no"] == 1)
    rows["cluster"] = _renumber(rows["cluster"])
    return rows


def _number_within(bout: Ints, is_parent: Bools) -> Ints:
    """1, 2, ... over the parents of each bout; drops keep their parent's number."""
    count = np.cumsum(is_parent)
    is_first = np.r_[True, bout[1:] != bout[:-1]]
    before = np.maximum.accumulate(np.where(is_first, count - 1, 0))
    return count - before


def _renumber(cluster: Ints) -> Ints:
    """Cluster ids 0, 1, ... in order of appearance; -1 stays."""
    ids, first, inverse = np.unique(cluster, return_index=True, return_inverse=True)
    rank = np.empty(len(ids), dtype=np.int64)
    rank[np.argsort(first[ids >= 0]) + int((ids < 0).sum())] = np.arange(int((ids >= 0).sum()))
    rank[ids < 0] = -1
    return rank[inverse]
