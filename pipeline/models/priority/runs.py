"""Runs of blocks that may be a priority phase, and the marks by which one is known.

In: ``Blocks``. Out: ``Run`` records, overlapping. Every run of whole blocks that is as long as a
phase is read for the muscle with the strongest evidence of being raised: the log of its likelihood
over that of usual sets, Student's t a block, the mean over how much a phase may raise it.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats
from pipeline.models.priority.blocks import Blocks

# Weeks of a phase (common practice, a little wider) and the least share of ordinary weeks, as the
# mean over its blocks.
SHORTEST, LONGEST, LEAST_ORDINARY = 7, 18, 0.5
# Log sets over usual that a phase may give its muscles and leave those that it holds back, with
# their chances: assumptions, about as wide as what the simulated careers plant (1.8 to 2.6 and 0.45
# to 0.8 times the sets, ``simulate_clear`` in ``tests/recovery/priority_cases.py``).
RAISED = np.array([0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.95])
RAISED_CHANCE = np.array([0.1, 0.15, 0.2, 0.2, 0.15, 0.12, 0.08])
HELD = np.array([-0.05, -0.2, -0.35, -0.5, -0.65])
HELD_CHANCE = np.full(5, 0.2)
# Spread of a block's log sets: the muscle's own, at least this, half drawn to that of all muscles,
# and the error of one block; degrees of freedom. Chosen by us, as are the limits below: no command
# varies them. What they came to together is measured (``measure_priority``, DEVELOPERS.md).
LEAST_SPREAD, BLOCK_ERROR, FREEDOM = 0.12, 0.08, 4.0
# Log evidence from which a run is looked at, from which a second muscle belongs to it, and the
# most that counts.
LEAST_EVIDENCE, SECOND_EVIDENCE, MOST_EVIDENCE = 0.5, 3.0, 10.0
# Blocks either side that a run is held against.
BESIDE = 2


@dataclass(frozen=True)
class Run:
    """Blocks ``start`` to ``stop`` - 1; ``raised`` muscles by row, the clearest first. The marks
    are of the clearest one, in log sets over usual where nothing else is said.

    ``evidence`` log likelihood ratio; ``rise`` its mean; ``direct_rise`` that of its direct sets
    over those of the blocks beside the run; ``weaker_step`` the smaller of its step up at the start
    and down at the end, ``common_step`` the same of the mean of all raised ones; ``change`` mean
    size of the four largest steps of all muscles at the start; ``beside`` the higher of the two
    blocks next to the run; ``held_evidence`` log likelihood ratio of some two other muscles being
    held back; ``held`` mean of the two lowest over the blocks beside; ``held_return`` mean of the
    two steepest ways up at the end, negative.
    """

    start: int
    stop: int
    raised: tuple[int, ...]
    evidence: float
    rise: float
    direct_rise: float
    weaker_step: float
    common_step: float
    change: float
    beside: float
    held_evidence: float
    held: float
    held_return: float


def find_runs(blocks: Blocks) -> list[Run]:
    """All runs as long as a phase in which some muscle seems raised."""
    own = np.maximum(1.4826 * np.median(np.abs(blocks.excess), axis=1), LEAST_SPREAD)
    spread = np.hypot(0.5 * own + 0.5 * np.median(own), BLOCK_ERROR)
    raised_blocks = _log_ratio(blocks.excess, RAISED, spread)
    held_blocks = _log_ratio(blocks.excess, HELD, spread)
    runs = []
    for start in range(blocks.first.size):
        for stop in range(start + 1, blocks.first.size + 1):
            length = blocks.last[stop - 1] + 1 - blocks.first[start]
            if length > LONGEST:
                break
            if length < SHORTEST or blocks.ordinary[start:stop].mean() < LEAST_ORDINARY:
                continue
            raised = _evidence(raised_blocks[..., start:stop], RAISED_CHANCE)
            if raised.max() >= LEAST_EVIDENCE:
                held = _evidence(held_blocks[..., start:stop], HELD_CHANCE)
                runs.append(_read_run(blocks, start, stop, raised, held))
    return runs


def _log_ratio(excess: Floats, levels: Floats, spread: Floats) -> Floats:
    """(n_levels, n_muscles, n_blocks) log likelihood of a level over that of usual sets."""

    def log_density(values: Floats) -> Floats:
        density: Floats = -np.log1p((values / spread[:, None]) ** 2 / FREEDOM)
        return (FREEDOM + 1) / 2 * density

    return log_density(excess - levels[:, None, None]) - log_density(excess)


def _evidence(log_ratio: Floats, chance: Floats) -> Floats:
    """(n_muscles,) log of the likelihood ratio of all blocks, mean over the levels."""
    evidence: Floats = np.log(chance @ np.exp(log_ratio.sum(axis=-1)))
    return evidence


def _read_run(blocks: Blocks, start: int, stop: int, raised: Floats, held: Floats) -> Run:
    order = np.argsort(-raised, kind="stable")
    rows = [int(row) for row in order[:2] if row == order[0] or raised[row] > SECOND_EVIDENCE]
    top, others = rows[0], np.setdiff1d(np.arange(raised.size), rows)
    # Usual sets before and after the record; block b then stands at b + 1.
    excess = np.pad(blocks.excess, ((0, 0), (1, 1)))
    step_up = excess[:, start + 1] - excess[:, start]
    step_down = excess[:, stop] - excess[:, stop + 1]
    mean, mean_beside = _means(blocks, blocks.excess, start, stop)
    direct, direct_beside = _means(blocks, blocks.direct_excess, start, stop)
    return Run(
        start,
        stop,
        tuple(rows),
        evidence=float(min(raised[top], MOST_EVIDENCE)),
        rise=float(mean[top]),
        direct_rise=float(direct[top] - direct_beside[top]),
        weaker_step=float(min(step_up[top], step_down[top])),
        common_step=float(min(step_up[rows].mean(), step_down[rows].mean())),
        change=float(np.sort(np.abs(step_up))[-4:].mean()),
        beside=float(max(excess[top, start], excess[top, stop + 1])),
        held_evidence=_pair_evidence(held[others]),
        held=_lowest_two((mean - mean_beside)[others]),
        held_return=_lowest_two(step_down[others]),
    )


def _means(blocks: Blocks, values: Floats, start: int, stop: int) -> tuple[Floats, Floats]:
    """(n_muscles,) means over the weeks of a run and over those of the blocks beside it."""
    inside = np.arange(start, stop)
    near = np.arange(max(start - BESIDE, 0), min(stop + BESIDE, blocks.first.size))
    beside = np.setdiff1d(near, inside)
    weeks = blocks.n_weeks
    within: Floats = values[:, inside] @ weeks[inside] / weeks[inside].sum()
    return within, values[:, beside] @ weeks[beside] / max(weeks[beside].sum(), 1.0)


def _lowest_two(values: Floats) -> float:
    return float(np.sort(values)[:2].mean())


def _pair_evidence(held: Floats) -> float:
    """Log of the likelihood ratio of two muscles being held back, mean over all pairs.

    held : (n_others,) log likelihood ratio of each, two at least. Each is paired with all that lie
        below it: no pair is got by subtraction, which would lose all of them where one muscle
        stands far above the others.
    """
    rising = np.sort(held)
    pairs = np.logaddexp.reduce(rising[1:] + np.logaddexp.accumulate(rising)[:-1])
    return float(pairs - np.log(held.size * (held.size - 1) / 2))
