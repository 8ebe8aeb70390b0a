"""Runs of blocks that may be a priority phase: their marks worked out by hand, what moves none."""

import math
from dataclasses import astuple, replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.models.priority.blocks import Blocks, read_blocks
from pipeline.models.priority.detect import detect_phases
from pipeline.models.priority.runs import (
    RAISED,
    RAISED_CHANCE,
    _means,
    _pair_evidence,
    find_runs,
)

SEEDS = st.integers(0, 10_000)
FEW = settings(max_examples=25, deadline=None)
FEWER = settings(max_examples=6, deadline=None)  # blocks are cut anew, a second each


def blocks_of(excess, n_weeks, first=None, direct=None, ordinary=1.0):
    """Blocks of whole weeks on end, or from ``first`` on; all of every block trained."""
    excess = np.array(excess, dtype=np.float64)
    weeks = np.array(n_weeks, dtype=np.int64)
    first = np.cumsum(weeks) - weeks if first is None else np.array(first, dtype=np.int64)
    direct = excess if direct is None else np.array(direct, dtype=np.float64)
    share = np.broadcast_to(ordinary, weeks.size)
    sets = np.full(excess.shape, 10.0)
    return Blocks(first, first + weeks - 1, weeks.astype(float), share, sets, excess, direct)


def one_block(*heights, weeks=8, **more):
    """Five blocks; every muscle usual but in the middle one, where it stands at its height."""
    excess = np.zeros((len(heights), 5))
    excess[:, 2] = heights
    return blocks_of(excess, [9, 9, weeks, 9, 9], **more)


def found(blocks):
    return [(run.start, run.stop, run.raised) for run in find_runs(blocks)]


def test_the_marks_of_a_run_of_two_blocks():
    """Blocks of 6, 6, 6, 3 and 6 trained weeks; the run is the third and the fourth of them."""
    excess = [
        [0.0, 0.1, 0.6, 0.9, -0.1],
        [0.1, 0.0, -0.5, -0.2, 0.2],
        [0.0, 0.3, -0.4, -0.4, 0.0],
        [0.0, 0.0, 0.0, 0.1, 0.0],
    ]
    direct = np.array(excess)
    direct[0] = [0.2, 0.2, 0.8, 1.1, 0.0]
    blocks = blocks_of(excess, [6, 6, 6, 3, 6], direct=direct)
    (run,) = (one for one in find_runs(blocks) if (one.start, one.stop) == (2, 4))
    assert run.raised == (0,)
    # (6 x 0.6 + 3 x 0.9) / 9 weeks
    assert run.rise == pytest.approx(0.7)
    # (6 x 0.8 + 3 x 1.1) / 9 = 0.9; beside (6 x 0.2 + 6 x 0.2 + 6 x 0.0) / 18
    assert run.direct_rise == pytest.approx(0.9 - 2.4 / 18)
    # up 0.6 - 0.1, down 0.9 + 0.1
    assert run.weaker_step == run.common_step == pytest.approx(0.5)
    # at the start 0.5, -0.5, -0.7 and 0.0
    assert run.change == pytest.approx(1.7 / 4)
    assert run.beside == pytest.approx(0.1)
    # (-3.6 / 9) less 0.3 / 3 for both; the third is not held
    assert run.held == pytest.approx(-0.5)
    # at the end -0.2 - 0.2 and -0.4 - 0.0
    assert run.held_return == pytest.approx(-0.4)


def test_the_evidence_of_one_block():
    """Every muscle usual in four of five blocks: no spread of its own, so the least one, and with
    the error of a block 4 x (0.12 ^ 2 + 0.08 ^ 2) = 0.0832. A level counts by
    ((0.0832 + height ^ 2) / (0.0832 + (height - level) ^ 2)) ^ 2.5."""
    (run,) = find_runs(one_block(0.6, -0.35, -0.5, 0.0))
    assert (run.start, run.stop, run.raised) == (2, 3, (0,))
    # Levels 0.3 to 0.95 with their chances; at 0.6 itself 0.2 x (0.4432 / 0.0832) ^ 2.5 = 13.10.
    raised = 1.047 + 3.682 + 9.863 + 13.098 + 7.397 + 2.945 + 0.545
    assert run.evidence == pytest.approx(math.log(raised), abs=1e-4)
    # The mean over the five levels of being held: 4.650, 14.797 and, for the usual one, 0.290.
    pairs = 4.6504 * 14.7969 + 4.6504 * 0.2899 + 14.7969 * 0.2899
    assert run.held_evidence == pytest.approx(math.log(pairs / 3), abs=1e-4)


def test_a_muscle_whose_sets_move_by_themselves_needs_more():
    """Half its own spread, 1.4826 x 0.2, and half that of all, 0.12: 0.208; with the error of a
    block 4 x (0.208 ^ 2 + 0.08 ^ 2) = 0.1991 in place of 0.0832."""
    excess = np.zeros((4, 5))
    excess[0] = [0.2, -0.2, 0.6, -0.2, 0.2]
    (run,) = (one for one in find_runs(blocks_of(excess, [9, 9, 8, 9, 9])) if one.start == 2)
    own = [(0.5591 / (0.1991 + (0.6 - level) ** 2)) ** 2.5 for level in RAISED]
    assert (run.stop, run.raised) == (3, (0,))
    assert run.evidence == pytest.approx(math.log(RAISED_CHANCE @ own), abs=1e-3)
    assert run.evidence < find_runs(one_block(0.6, 0.0, 0.0, 0.0))[0].evidence - 1.0


def test_the_second_muscle_belongs_where_its_own_evidence_is_clear():
    """A rise of 0.6 has an evidence of 3.65, of 0.5 2.92: three are asked; never more than two."""
    assert found(one_block(0.7, 0.6, 0.0, 0.0)) == [(2, 3, (0, 1))]
    assert found(one_block(0.5, 0.7, 0.0, 0.0)) == [(2, 3, (1,))]
    (run,) = find_runs(one_block(0.6, 0.7, 0.8, 0.0, 0.0))
    assert run.raised == (2, 1)
    assert run.common_step == pytest.approx(0.75)  # (0.7 + 0.8) / 2; the third counts as another
    assert (run.weaker_step, run.rise) == (pytest.approx(0.8), pytest.approx(0.8))


def test_nothing_is_raised_where_all_have_their_usual_sets():
    assert find_runs(one_block(0.0, 0.0, 0.0, 0.0)) == []
    assert find_runs(one_block(-0.6, -0.6, 0.0, 0.0)) == []


@pytest.mark.parametrize(("weeks", "is_read"), [(6, False), (7, True), (18, True), (19, False)])
def test_a_run_is_as_long_as_a_phase(weeks, is_read):
    assert bool(find_runs(one_block(0.8, 0.0, 0.0, 0.0, weeks=weeks))) is is_read


def test_half_of_the_weeks_are_ordinary():
    def read(share):
        ordinary = np.array([1.0, 1.0, share, 1.0, 1.0])
        return found(one_block(0.8, 0.0, 0.0, 0.0, ordinary=ordinary))

    assert read(0.5) == [(2, 3, (0,))]
    assert read(0.49) == []


@pytest.mark.parametrize(("off", "is_read"), [(0, True), (8, True), (9, False)])
def test_weeks_off_within_count_as_weeks_of_the_run(off, is_read):
    """Five weeks and five more around a layoff: 10 and ``off`` weeks, 18 at most."""
    excess = np.zeros((4, 6))
    excess[0, 2:4] = 0.7
    blocks = blocks_of(excess, [9, 9, 5, 5, 9, 9], first=[0, 9, 18, 23 + off, 28 + off, 37 + off])
    assert ((2, 4, (0,)) in found(blocks)) is is_read


def test_a_layoff_beside_a_run_changes_no_mark():
    blocks = one_block(0.7, -0.4, -0.4, 0.1)
    later = np.array([0, 0, 0, 30, 30])  # time off between the run and the block after it
    away = replace(blocks, first=blocks.first + later, last=blocks.last + later)
    assert found(blocks) == [(2, 3, (0,))]
    assert find_runs(away) == find_runs(blocks)


def test_before_and_after_the_record_sets_are_usual():
    """First and last blocks have no neighbour: the step is from and to usual sets."""
    excess = np.zeros((4, 6))
    excess[0, 0], excess[1, 5] = 0.6, 0.7
    first, last = find_runs(blocks_of(excess, [8, 9, 9, 9, 9, 8]))
    assert (first.start, first.stop, first.raised) == (0, 1, (0,))
    assert (last.start, last.stop, last.raised) == (5, 6, (1,))
    assert (first.weaker_step, first.beside) == (pytest.approx(0.6), 0.0)
    assert (last.weaker_step, last.beside) == (pytest.approx(0.7), 0.0)


def test_beside_are_two_blocks_on_each_side_by_their_weeks():
    blocks = blocks_of([[9.0, 1.0, 2.0, 5.0, 4.0, 3.0, 9.0]], [5, 4, 2, 8, 6, 4, 5])
    within, beside = _means(blocks, blocks.excess, 3, 4)
    assert within.tolist() == [5.0]
    assert beside.tolist() == [(4 * 1 + 2 * 2 + 6 * 4 + 4 * 3) / 16]
    within, beside = _means(blocks, blocks.excess, 0, 7)
    assert within.tolist() == [(45 + 4 + 4 + 40 + 24 + 12 + 45) / 34]
    assert beside.tolist() == [0.0]  # nothing beside: usual sets


def test_pairs_are_those_of_adding_them_up():
    held = np.array([1.2, -0.4, 0.3, 2.0])
    pairs = [math.exp(a + b) for a, b in combinations(held, 2)]
    assert _pair_evidence(held) == pytest.approx(math.log(sum(pairs) / 6))
    assert _pair_evidence(np.array([1.5, -0.5])) == pytest.approx(1.0)  # one pair: their sum


def test_pairs_are_not_lost_under_one_muscle_far_above_the_others():
    """e^40 beside twice e^0: the pairs are e^40, e^40 and 1, their mean 2/3 of e^40."""
    assert _pair_evidence(np.array([40.0, 0.0, 0.0])) == pytest.approx(40 + math.log(2 / 3))
    assert _pair_evidence(np.array([0.0, 900.0, 0.0])) == pytest.approx(900 + math.log(2 / 3))


@pytest.mark.parametrize("n_muscles", [0, 1, 3])
def test_too_few_muscles_are_not_looked_at(n_muscles):
    """One raised, two held back and one that neither is: with fewer there is no pair to read."""
    sets, every = np.full((n_muscles, 60), 12.0), np.ones(60, dtype=bool)
    sets[:1, 30:40] = 30.0
    names = [f"m{row}" for row in range(n_muscles)]
    assert detect_phases(names, sets, np.eye(n_muscles), every, every) == ()


def test_a_record_without_weeks_proposes_nothing():
    none = np.zeros(0, dtype=bool)
    assert detect_phases(list("abcd"), np.zeros((4, 0)), np.eye(4), none, none) == ()


def random_blocks(seed, n_muscles=6, n_blocks=12):
    rng = np.random.default_rng(seed)
    excess = rng.normal(0.0, 0.15, (n_muscles, n_blocks))
    excess[0, 4:6] += 0.8
    excess[1:3, 4:6] -= 0.5
    direct = excess + rng.normal(0.0, 0.1, excess.shape)
    return blocks_of(excess, rng.integers(3, 8, n_blocks), direct=direct)


@FEW
@given(SEEDS)
def test_the_order_of_muscles_moves_nothing(seed):
    blocks = random_blocks(seed)
    order = np.random.default_rng(seed + 1).permutation(6)
    mixed = replace(
        blocks,
        sets=blocks.sets[order],
        excess=blocks.excess[order],
        direct_excess=blocks.direct_excess[order],
    )
    runs, others = find_runs(blocks), find_runs(mixed)
    assert runs
    assert len(runs) == len(others)
    for run, other in zip(runs, others, strict=True):
        assert tuple(order[row] for row in other.raised) == run.raised
        same = replace(other, raised=run.raised)
        assert astuple(same)[3:] == pytest.approx(astuple(run)[3:])
        assert (same.start, same.stop) == (run.start, run.stop)


@FEW
@given(SEEDS, st.integers(1, 500))
def test_later_by_some_weeks_is_the_same(seed, weeks):
    blocks = random_blocks(seed)
    assert find_runs(blocks)
    later = replace(blocks, first=blocks.first + weeks, last=blocks.last + weeks)
    assert find_runs(later) == find_runs(blocks)


def programme(seed, n_muscles=8, n_blocks=14, weeks=6):
    """Sets a week that change by four or more in every lift from block to block, so that the
    blocks are plain; in two of them one muscle doubles and two are halved."""
    rng = np.random.default_rng(seed)
    step = np.cumsum(rng.integers(1, 4, (n_muscles, n_blocks)), axis=1) % 4
    plan = 20.0 + 5.0 * step + rng.uniform(0.0, 1.0, step.shape)
    plan[0, 6:8] *= 2.2
    plan[1:3, 6:8] *= 0.5
    return np.repeat(plan, weeks, axis=1)


def runs_of(sets, before=0):
    """Blocks and runs of lifts that each train one muscle, after some weeks without a record."""
    sets = np.pad(sets, ((0, 0), (before, 0)))
    trained = np.arange(sets.shape[1]) >= before
    blocks = read_blocks(sets, np.eye(len(sets)), trained, trained)
    return blocks, find_runs(blocks)


@FEWER
@given(SEEDS, st.floats(1.0, 5.0), st.integers(0, 60))
def test_all_sets_times_a_constant_or_later_are_the_same_runs(seed, factor, before):
    sets = programme(seed)
    blocks, runs = runs_of(sets)
    others, more = runs_of(factor * sets, before)
    assert runs
    assert (others.first - before).tolist() == blocks.first.tolist()
    assert [one.raised for one in more] == [one.raised for one in runs]
    for run, other in zip(runs, more, strict=True):
        assert astuple(other)[3:] == pytest.approx(astuple(run)[3:], abs=1e-9)
        assert (other.start, other.stop) == (run.start, run.stop)


def test_the_raised_blocks_of_a_plain_programme_are_a_run():
    blocks, runs = runs_of(programme(3))
    assert [(a, b) for a, b in pairwise(blocks.first)] == [(n, n + 6) for n in range(0, 78, 6)]
    best = max(runs, key=lambda run: run.evidence + run.held_evidence)
    assert (best.start, best.stop, best.raised) == (6, 8, (0,))
