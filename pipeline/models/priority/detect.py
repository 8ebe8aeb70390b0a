"""Finding priority phases that nobody wrote down, from the weekly sets alone.

Question: in which runs of weeks did muscles get clearly more than usual, and then no more? In:
weekly sets by lift. Out: ``FoundPhase`` records in order of time.

Every run of whole blocks is read by marks of a phase (``runs``): how clearly a muscle is raised,
how much of that comes and goes at the ends, whether others are held back meanwhile. A drift of the
programme raises a muscle too, but seldom between two ends and at the cost of others. The end of the
record counts as a way back to usual: a phase under way is found as if it ended there. A logistic
rule turns the marks into the chance that a phase begins and ends within two weeks of the run's
ends; of runs that touch, those with the highest sum of chance less ``LEAST_CHANCE`` are chosen.

Own derivation; the rule was fitted to simulated careers whose programmes drift from block to block
(``tests.recovery.fit_priority``, figures in DEVELOPERS.md) and where every phase holds two others
back: one that holds none back is often missed. A proposal for the lifter to confirm, never an event
by itself: a drift may look like a phase.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats
from pipeline.models.priority.blocks import HALF_WINDOW, Blocks, read_blocks
from pipeline.models.priority.runs import Run, find_runs

# Ordinary weeks without which nothing is usual, and muscles: a raised one, two held back and one
# that neither is.
LEAST_USUAL, LEAST_MUSCLES = 26, 4
# Chance from which a run is proposed: rather a phase than not.
LEAST_CHANCE = 0.5
# By mark: mean and spread among the runs looked at, and what one spread and its square add to the
# log odds; marks further out than MOST_SPREADS count as that many.
RULE = {
    "evidence": (3.262, 2.406, 0.421, -0.067),
    "rise": (0.425, 0.177, 1.025, -0.194),
    "direct_rise": (0.437, 0.370, 1.046, -0.239),
    "weaker_step": (0.025, 0.321, -0.300, 0.188),
    "common_step": (0.025, 0.314, 0.155, 0.036),
    "change": (0.532, 0.287, 0.167, -0.139),
    "beside": (0.365, 0.315, -0.396, -0.011),
    "held_evidence": (0.229, 2.431, 0.266, -0.021),
    "held": (-0.324, 0.127, -0.398, -0.061),
    "held_return": (-0.475, 0.285, -0.048, -0.085),
}
INTERCEPT = -2.524
MOST_SPREADS = 3.0
# Weeks passed over (a deload, days off) that are taken for part of a phase, at each end; a layoff
# beside it is not.
MOST_BESIDE = 2


@dataclass(frozen=True)
class FoundPhase:
    """Weeks ``first`` to ``last`` (both included); ``factor`` is the muscles' share of weekly sets
    over the usual one."""

    first: int
    last: int
    muscles: tuple[str, ...]
    factor: float


def detect_phases(
    muscles: Sequence[str],
    lift_sets: Floats,
    shares: Floats,
    is_trained: Bools,
    is_ordinary: Bools,
    is_known: Bools | None = None,
) -> tuple[FoundPhase, ...]:
    """Runs of weeks in which muscles got clearly more than usual.

    Parameters
    ----------
    muscles : (n_muscles,) names.
    lift_sets : (n_lifts, n_weeks) sets a week.
    shares : (n_lifts, n_muscles) what a set counts for a muscle: 1 direct, less indirect.
    is_trained : (n_weeks,) logged weeks without deload: all others are passed over.
    is_ordinary : (n_weeks,) those of them without injury: only they say what is usual.
    is_known : (n_weeks,) weeks of phases already told; nothing is proposed that touches them.
    """
    if is_ordinary.sum() < LEAST_USUAL or len(muscles) < LEAST_MUSCLES:
        return ()
    blocks = read_blocks(lift_sets, shares, is_trained, is_ordinary)
    told = np.zeros(is_trained.size, dtype=bool) if is_known is None else is_known
    runs = []
    for run in find_runs(blocks):
        first, last = find_ends(blocks, run)
        if not told[first : last + 1].any():
            runs.append(run)
    return tuple(
        FoundPhase(
            *find_ends(blocks, run),
            tuple(sorted(muscles[row] for row in run.raised)),
            _share_factor(blocks, run),
        )
        for run in choose_runs(runs, rate_runs(runs))
    )


def read_marks(runs: Sequence[Run]) -> Floats:
    """(n_runs, n_marks) in the order of ``RULE``."""
    rows = [[getattr(run, mark) for mark in RULE] for run in runs]
    return np.array(rows, dtype=np.float64).reshape(-1, len(RULE))


def rate_runs(runs: Sequence[Run]) -> Floats:
    """(n_runs,) chance that a run is a phase with both ends right."""
    mean, spread, linear, square = np.array(list(RULE.values())).T
    marks = np.clip((read_marks(runs) - mean) / spread, -MOST_SPREADS, MOST_SPREADS)
    chance: Floats = 1.0 / (1.0 + np.exp(-INTERCEPT - marks @ linear - marks**2 @ square))
    return chance


def choose_runs(runs: Sequence[Run], chances: Floats) -> list[Run]:
    """Runs with the highest sum of chance less ``LEAST_CHANCE``, a block or more between them."""
    n_blocks = max((run.stop for run in runs), default=0)
    best: list[tuple[float, list[Run]]] = [(0.0, [])]  # of the first 0, 1, ... blocks
    by_stop: dict[int, list[tuple[Run, float]]] = {}
    for run, chance in zip(runs, chances, strict=True):
        if chance > LEAST_CHANCE:
            by_stop.setdefault(run.stop, []).append((run, float(chance) - LEAST_CHANCE))
    for stop in range(1, n_blocks + 1):
        options = [best[-1]]
        for run, worth in by_stop.get(stop, []):
            before, chosen = best[max(run.start - 1, 0)]
            options.append((before + worth, [*chosen, run]))
        best.append(max(options, key=lambda option: option[0]))
    return best[-1][1]


def find_ends(blocks: Blocks, run: Run) -> tuple[int, int]:
    """First and last week; of a few weeks passed over beside the run half are its own."""
    first, last = int(blocks.first[run.start]), int(blocks.last[run.stop - 1])
    before = first - int(blocks.last[run.start - 1]) - 1 if run.start > 0 else 0
    after = int(blocks.first[run.stop]) - last - 1 if run.stop < blocks.first.size else 0
    return first - min(before // 2, MOST_BESIDE), last + min(after // 2, MOST_BESIDE)


def _share_factor(blocks: Blocks, run: Run) -> float:
    """The raised muscles' share of all sets over that of the blocks within a year outside."""
    rows, inside = list(run.raised), np.zeros(blocks.first.size, dtype=bool)
    inside[run.start : run.stop] = True
    middle = (blocks.first + blocks.last) / 2
    near = np.abs(middle - middle[inside].mean()) <= HALF_WINDOW
    sets = blocks.sets * blocks.n_weeks

    def share(which: Bools) -> float:
        return float(sets[rows][:, which].sum() / max(sets[:, which].sum(), 1.0))

    return share(inside) / max(share(near & ~inside), 1e-3)
