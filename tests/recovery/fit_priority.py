"""The rule that tells priority phases from drift, fitted anew on simulated careers.

``python -m tests.recovery.fit_priority 50000-50099 60000-60049`` prints ``RULE`` and ``INTERCEPT``
of ``pipeline.models.priority.detect``: about two seconds a career; and the share of phases'
ends to the week at which a block begins or ends.
"""

import sys

import numpy as np

from pipeline.models.priority.blocks import Blocks, read_blocks
from pipeline.models.priority.detect import MOST_SPREADS, RULE, find_ends, read_marks
from pipeline.models.priority.runs import Run, find_runs
from pipeline.models.simulate import Career
from tests.recovery.priority_cases import (
    NEAR_WEEKS,
    detection_arrays,
    simulate_clear,
    told_phases,
)

# Of squared coefficients, marks standardised.
PENALTY = 3.0


def label_runs(career: Career, blocks: Blocks, runs: list[Run]) -> list[bool]:
    """Whether both ends lie within two weeks of those of a planted phase of one of its muscles."""

    def is_right(run: Run) -> bool:
        first, last = find_ends(blocks, run)
        names = {career.muscles[row] for row in run.raised}
        return any(
            names & set(one.chosen)
            and max(abs(one.first - first), abs(one.last - last)) <= NEAR_WEEKS
            for one in told_phases(career)
        )

    return [is_right(run) for run in runs]


def find_cuts(career: Career, blocks: Blocks) -> list[bool]:
    """Of each phase's first and last trained week: whether a block begins, or ends, there."""
    weeks = np.flatnonzero(detection_arrays(career)["is_trained"])
    inside = [weeks[(weeks >= one.first) & (weeks <= one.last)] for one in told_phases(career)]
    ends = [(one[0] in blocks.first, one[-1] in blocks.last) for one in inside if one.size]
    return [is_cut for pair in ends for is_cut in pair]


def fit_rule(marks: np.ndarray, is_right: np.ndarray) -> tuple[float, np.ndarray]:
    """Intercept and (n_marks, 4) mean, spread, linear and square: logistic regression, Newton."""
    mean, spread = marks.mean(axis=0), marks.std(axis=0)
    standard = np.clip((marks - mean) / spread, -MOST_SPREADS, MOST_SPREADS)
    design = np.column_stack([np.ones(len(marks)), standard, standard**2])
    penalty = PENALTY * np.eye(design.shape[1])
    penalty[0, 0] = 0.0
    values = np.zeros(design.shape[1])
    for _ in range(30):
        chance = 1 / (1 + np.exp(-design @ values))
        slope = design.T @ (is_right - chance) - penalty @ values
        bend = (design * (chance * (1 - chance))[:, None]).T @ design + penalty
        values += np.linalg.solve(bend, slope)
    linear, square = values[1:].reshape(2, -1)
    return float(values[0]), np.column_stack([mean, spread, linear, square])


def main(arguments: list[str]) -> int:
    """Fits the rule to the careers of these seeds and prints it."""
    marks, labels, cuts = [], [], list[bool]()
    for first, last in (one.split("-") for one in arguments):
        for seed in range(int(first), int(last) + 1):
            career = simulate_clear(seed)
            blocks = read_blocks(**detection_arrays(career))
            runs = find_runs(blocks)
            cuts += find_cuts(career, blocks)
            marks.append(read_marks(runs))
            labels.append(np.array(label_runs(career, blocks, runs), dtype=float))
    intercept, rows = fit_rule(np.concatenate(marks), np.concatenate(labels))
    for mark, row in zip(RULE, rows, strict=True):
        print(f'    "{mark}": ({", ".join(f"{value:.3f}" for value in row)}),')
    print(f"INTERCEPT = {intercept:.3f}")
    print(f"ends of phases where a block ends: {np.mean(cuts):.3f} of {len(cuts)}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
