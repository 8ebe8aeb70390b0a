"""Which lifts are in the programme, for how many sets, in which session of the week."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Bools, Floats, Ints

from .catalogue import SLOTS
from .records import MUSCLES
from .timeline import Timeline
from .traits import Traits

_ALL_DAYS: dict[str, tuple[int, ...]] = {"push": (0, 1, 2), "pull": (0, 1, 2), "legs": (0, 1, 2)}
_PUSH_PULL_LEGS: dict[str, tuple[int, ...]] = {"push": (0, 3), "pull": (1, 4), "legs": (2, 5)}
# Sessions of the week in which each family is trained, by sessions a week.
_SPLITS: dict[int, dict[str, tuple[int, ...]]] = {
    2: {"push": (0, 1), "pull": (0, 1), "legs": (0, 1)},
    3: _ALL_DAYS,
    4: {"push": (0, 2), "pull": (0, 2), "legs": (1, 3)},
    5: {"push": (0, 3), "pull": (1, 3), "legs": (2, 4)},
    6: _PUSH_PULL_LEGS,
    7: _PUSH_PULL_LEGS | {"pull": (1, 4, 6)},
}
# Muscles that programmes often leave to the big lifts for months.
_OFTEN_LEFT_OUT = frozenset({"traps", "forearms", "glutes", "lower_back"})
_MAX_SETS_PER_LIFT = 12


@dataclass(frozen=True)
class Bouts:
    """One lift in one session, (bouts,) arrays; `n_sets` done, `n_full` had it been no deload."""

    week: Ints
    slot: Ints
    lift: Ints
    n_sets: Ints
    n_full: Ints
    reps_target: Ints
    reserve_target: Floats


@dataclass(frozen=True)
class _Block:
    first: int
    last: int
    lifts: Ints
    sets: Ints
    reps: Ints
    reserve: Floats


def plan_programme(rng: Generator, traits: Traits, timeline: Timeline) -> Bouts:
    """Rotate lifts block by block, spread their sets over the week, cut them in deloads."""
    blocks = _plan_blocks(rng, traits, timeline)
    planned = _concatenate([_spread(traits, block) for block in blocks])
    return _attend(rng, traits, timeline, planned)


def count_sets(traits: Traits, bouts: Bouts, n_sets: Ints) -> Floats:
    """Weekly fractional sets, (muscles, weeks), from sets per bout."""
    per_lift = np.zeros((len(traits.lifts), traits.n_weeks))
    np.add.at(per_lift, (bouts.lift, bouts.week), n_sets)
    return traits.shares.T @ per_lift


def _plan_blocks(rng: Generator, traits: Traits, timeline: Timeline) -> list[_Block]:
    """Blocks of 4-8 weeks that also end where a phase or an injury begins or ends."""
    shares, blocks, active = traits.shares, [], np.array([], dtype=np.int64)
    wave, creep = np.zeros(len(MUSCLES)), rng.normal(0.02, 0.03)
    first = 0
    for last in _block_ends(rng, traits.n_weeks, timeline.boundaries):
        active = _choose_lifts(rng, traits, timeline, active, first)
        wave = 0.6 * wave + rng.normal(0, 0.2, len(MUSCLES))
        drift = np.exp(np.clip(creep * (traits.ages[first] - traits.ages.mean()), -0.3, 0.3))
        wanted = traits.habits.volume * timeline.volume[:, first] * np.exp(wave) * drift
        sets = _share_out(shares[active], wanted)
        low = np.array([traits.lifts[row].reps_low for row in active])
        high = np.array([traits.lifts[row].reps_high for row in active])
        reps = rng.integers(low, high + 1)
        reserve = rng.choice([1.0, 2.0, 3.0, 4.0], len(active), p=[0.25, 0.35, 0.28, 0.12])
        blocks.append(_Block(first, last, active, sets, reps, reserve))
        first = last + 1
    return blocks


def _block_ends(rng: Generator, n_weeks: int, boundaries: frozenset[int]) -> list[int]:
    starts, week = set(boundaries), 0
    while week < n_weeks:
        week += int(rng.integers(4, 9))
        starts.add(week)
    return [start - 1 for start in sorted(starts) if 0 < start < n_weeks] + [n_weeks - 1]


def _choose_lifts(
    rng: Generator, traits: Traits, timeline: Timeline, active: Ints, week: int
) -> Ints:
    """Keep most lifts, swap some, leave out what an injury forbids, call in its substitutes."""
    is_out, is_called = timeline.is_out[:, week], timeline.is_called_in[:, week]
    chosen: list[int] = [int(row) for row in np.flatnonzero(is_called & ~is_out)]
    for index, muscle in enumerate(MUSCLES):
        pool = _pool_of(traits, muscle, is_out)
        wanted = SLOTS[muscle] + (timeline.volume[index, week] > 1.3)
        if muscle in _OFTEN_LEFT_OUT and rng.random() < 0.35:
            wanted = 0
        have = [row for row in pool if row in chosen]
        for row in _preference(rng, traits, pool, active):
            if len(have) >= wanted:
                break
            if row not in chosen:
                have.append(row)
                chosen.append(row)
    return np.array(sorted(chosen), dtype=np.int64)


def _pool_of(traits: Traits, muscle: str, is_out: Bools) -> list[int]:
    return [
        row
        for row, lift in enumerate(traits.lifts)
        if lift.exercise.direct[0] == muscle and not is_out[row]
    ]


def _preference(rng: Generator, traits: Traits, pool: list[int], active: Ints) -> list[int]:
    """The pool in the order the lifter would take it: usual lifts, those in use, then others."""

    def rank(row: int) -> float:
        if traits.lifts[row].exercise.exercise_id in traits.usual:
            hazard, first = 0.03, 0.0
        else:
            hazard, first = traits.habits.swap_hazard, 1.0
        stays = row in active and rng.random() > hazard
        returns = first == 0.0 and rng.random() > hazard
        return (first if stays or returns else 2.0) + rng.random()

    return sorted(pool, key=rank)


def _share_out(shares: Floats, wanted: Floats) -> Ints:
    """Whole sets per lift whose fractional counts come near `wanted` (projected gradient)."""
    sets = np.full(len(shares), 3.0)
    step = 1.0 / np.linalg.norm(shares @ shares.T, 2)
    for _ in range(40):
        sets = np.clip(sets + step * shares @ (wanted - sets @ shares), 1.5, _MAX_SETS_PER_LIFT)
    return np.maximum(np.round(sets), 2).astype(np.int64)


def _spread(traits: Traits, block: _Block) -> Bouts:
    """One week's bouts of a block, repeated for each of its weeks."""
    split = _SPLITS[traits.habits.sessions_per_week]
    load = np.zeros(traits.habits.sessions_per_week)
    rows: list[tuple[int, int, int]] = []
    for index in np.argsort(-block.sets, kind="stable"):
        lift, sets = traits.lifts[block.lifts[index]], int(block.sets[index])
        days = sorted(split[lift.family], key=lambda day: load[day])
        often = 2 if sets >= 6 or (lift.exercise.exercise_id in traits.usual and sets >= 4) else 1
        for part, day in enumerate(days[:often]):
            share = sets // often + (part < sets % often)
            load[day] += share
            rows.append((day, int(index), share))
    slot, index, n_sets = np.array(rows, dtype=np.int64).T
    weeks = np.arange(block.first, block.last + 1)
    full = np.tile(n_sets, len(weeks))
    return Bouts(
        week=np.repeat(weeks, len(rows)),
        slot=np.tile(slot, len(weeks)),
        lift=np.tile(block.lifts[index], len(weeks)),
        n_sets=full,
        n_full=full,
        reps_target=np.tile(block.reps[index], len(weeks)),
        reserve_target=np.tile(block.reserve[index], len(weeks)),
    )


def _attend(rng: Generator, traits: Traits, timeline: Timeline, planned: Bouts) -> Bouts:
    """Missed sessions and layoffs taken out, deloads cut; at least one session a training week."""
    luck = rng.random((traits.n_weeks, traits.habits.sessions_per_week))
    comes = luck < traits.habits.attendance
    comes[np.arange(traits.n_weeks), rng.integers(0, comes.shape[1], traits.n_weeks)] = True
    comes[timeline.is_layoff] = False
    full = planned.n_full - ((rng.random(len(planned.week)) < 0.06) & (planned.n_full > 2))
    cut = np.full((len(traits.lifts), traits.n_weeks), 1.0)
    cut[:, timeline.is_deload] = timeline.cut
    if traits.habits.deload_kind == "partial":
        spared = rng.random(len(traits.lifts)) < 0.5
        cut[:, timeline.is_deload] = np.where(spared, 1.0, 0.35)[:, None]
    done = np.maximum(np.round(full * cut[planned.lift, planned.week]), 1).astype(np.int64)
    there = comes[planned.week, planned.slot]
    return Bouts(
        planned.week[there],
        planned.slot[there],
        planned.lift[there],
        done[there],
        full[there],
        planned.reps_target[there],
        planned.reserve_target[there],
    )


def _concatenate(parts: list[Bouts]) -> Bouts:
    names = list(Bouts.__dataclass_fields__)
    return Bouts(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))
