"""What would narrow the interval of the best-supported weekly sets: one block, or years.

Question: if this muscle were trained by a given plan, how wide would the interval of its best
weekly sets be afterwards? In: draws of the posterior response, the weeks read so far, a plan in
sets/week. Out: the expected width as a share of today's.

Method (own derivation), by simulation from the posterior. Every draw says which differences of
seven-week block means the plan would show: the growth that it gives the planned sets, and its
masking by recent volume. Some of the draws are taken as the truth in turn; its differences are read
with the noise R of the fit (the index's errors and the scatter of blocks) over the power that the
likelihood is raised to; all other draws are weighed by the likelihood of what was read, and the
weighed standard deviation of the best sets is taken. The mean of these over the truths, over
today's standard deviation, is the expected width. With normal draws and straight signals this is
the conjugate rule, 1 / (1 + m var / R), which a test compares it with.

Assumptions: the block is trained as planned, every week of it is read, its index is as sure as
that of the last two years, and the differences that straddle today count only where they add a
block. Nothing is assumed of the other muscles, so the years are on the long side where the pooled
fit learns from them too. Years mean: trained as in the last two, over again.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.models import volume_map
from pipeline.models.narrowing_plans import Plan
from pipeline.models.volume_blocks import LEAST_WEEKS_USED, WEEKS_IN_BLOCK, find_level_noise
from pipeline.models.weeks import (
    WEEKS_PER_YEAR,
    BlockPairs,
    Bools,
    Floats,
    fill_gaps,
    pair_blocks,
    recent_mean,
)

FATIGUE_WEEKS = 3.0
RECENT_WEEKS = 104
# A block that takes less than this off the interval tells nothing (the issue's own limit).
LEAST_NARROWING = 0.10
# Years are counted until the interval is narrower by this; common practice, no published source.
TELLING_NARROWING = 0.25
YEARS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
DRAWS_FOR_PLANS, DRAWS_FOR_YEARS = 500, 400
N_TRUTHS = 125


@dataclass(frozen=True)
class Outlook:
    """One muscle's posterior and the weeks it was read from.

    Attributes
    ----------
    draws : (n, N_VALUES) posterior values of ``volume_map``.
    weekly_sets, level_se, training_age_years : (n_weeks,) as the fit took them.
    is_used : (n_weeks,) weeks whose level was read.
    centre_sets : the prior's centre, the unit of recent volume.
    level_noise_factor, block_noise : the fit's noise.
    power : the power its likelihood was raised to.
    """

    draws: Floats
    weekly_sets: Floats
    level_se: Floats
    training_age_years: Floats
    is_used: Bools
    centre_sets: float
    level_noise_factor: float
    block_noise: float
    power: float


@dataclass(frozen=True)
class PlanValue:
    """A plan and the expected width of the interval after it, as a share of today's."""

    plan: Plan
    ratio: float

    @property
    def narrows(self) -> bool:
        """Whether it takes at least ``LEAST_NARROWING`` off the interval."""
        return self.ratio <= 1.0 - LEAST_NARROWING


def expected_ratio(quantity: Floats, signals: Floats, noise: Floats, seed: int = 0) -> float:
    """Expected standard deviation of ``quantity`` once noisy ``signals`` are seen, as a share.

    quantity : (n,) draws. signals : (n, m) what each draw would show. noise : (m, m) covariance.
    seed : of the noise; the same for every plan, so that plans differ by themselves.
    """
    root = np.linalg.cholesky(noise)
    white = np.linalg.solve(root, signals.T).T
    truths = np.linspace(0, len(white) - 1, N_TRUTHS).astype(np.int64)
    read = white[truths] + np.random.default_rng(seed).standard_normal((N_TRUTHS, white.shape[1]))
    # Minus half the squared distance, up to what is the same for all draws.
    fit = read @ white.T - 0.5 * np.sum(white**2, axis=1)
    fit[np.arange(N_TRUTHS), truths] = -np.inf
    weight = np.exp(fit - fit.max(axis=1, keepdims=True))
    weight /= weight.sum(axis=1, keepdims=True)
    mean = weight @ quantity
    spread = np.sqrt(np.maximum(weight @ quantity**2 - mean**2, 0.0))
    return float(np.mean(spread) / np.std(quantity))


def find_best_plan(outlook: Outlook, plans: Sequence[Plan], age: float) -> PlanValue:
    """The plan after which the interval of the best sets at ``age`` is expected narrowest.

    All plans have the same number of weeks.
    """
    thin = _thin(outlook.draws, DRAWS_FOR_PLANS)
    quantity = volume_map.best_sets_at(thin, age)
    future = future_pairs(outlook, len(plans[0].weekly_sets))
    values = [
        PlanValue(plan, expected_ratio(quantity, future.signals(thin, plan), future.noise()))
        for plan in plans
    ]
    return min(values, key=lambda value: value.ratio)


def count_years(outlook: Outlook, age: float, narrowing: float = TELLING_NARROWING) -> float | None:
    """Years of training as in the last two until the interval is narrower by ``narrowing``.

    One of ``YEARS``; None when more than the last of them.
    """
    thin = _thin(outlook.draws, DRAWS_FOR_YEARS)
    quantity = volume_map.best_sets_at(thin, age)
    n_weeks = int(np.ceil(YEARS[-1] * WEEKS_PER_YEAR))
    usual = fill_gaps(outlook.weekly_sets)[-RECENT_WEEKS:]
    plan = Plan(np.resize(usual, n_weeks), ())
    future = future_pairs(outlook, n_weeks, np.resize(outlook.is_used[-RECENT_WEEKS:], n_weeks))
    signals, noise = future.signals(thin, plan), future.noise()
    short, long = 0, len(YEARS)
    while short < long:
        middle = (short + long) // 2
        own = future.ends_within(YEARS[middle] * WEEKS_PER_YEAR)
        tells = own > 0 and (
            expected_ratio(quantity, signals[:, :own], noise[:own, :own]) <= 1.0 - narrowing
        )
        short, long = (short, middle) if tells else (middle + 1, long)
    return YEARS[short] if short < len(YEARS) else None


def _thin(draws: Floats, most: int) -> Floats:
    return draws[:: max(1, len(draws) // most)]


@dataclass(frozen=True)
class FuturePairs:
    """The comparisons of blocks that further weeks would add, and how they would be read.

    Attributes
    ----------
    outlook : what the further weeks are added to.
    pairs : comparisons, weeks counted from ``first``.
    first : first week that one of them reads; before the end of the record.
    training_age_years : (n,) of the weeks from ``first`` on.
    """

    outlook: Outlook
    pairs: BlockPairs
    first: int
    training_age_years: Floats

    def ends_within(self, weeks: float) -> int:
        """How many of the comparisons are over within so many further weeks."""
        past = len(self.outlook.weekly_sets)
        return int(np.sum(self.pairs.end_week + self.first < past + weeks))

    def signals(self, draws: Floats, plan: Plan) -> Floats:
        """(n_draws, n_pairs) differences that each draw gives the plan."""
        outlook = self.outlook
        sets = np.concatenate([fill_gaps(outlook.weekly_sets), plan.weekly_sets])
        recent = recent_mean(sets, FATIGUE_WEEKS)[self.first :] / outlook.centre_sets
        age = np.maximum(self.training_age_years, 0.1)
        yearly = volume_map.response_at(draws[:, None, :], age, sets[None, self.first :])
        masked = draws[:, [volume_map.FATIGUE]] * (self.pairs.difference @ recent)
        return (yearly / WEEKS_PER_YEAR) @ self.pairs.growth.T - masked

    def noise(self) -> Floats:
        """(n_pairs, n_pairs) covariance of the differences, divided by the likelihood's power."""
        outlook = self.outlook
        known = outlook.level_se[outlook.is_used][-RECENT_WEEKS:]
        se = np.full(self.pairs.difference.shape[1], float(np.median(known)))
        level = outlook.level_noise_factor**2 * find_level_noise(self.pairs, se)
        block = outlook.block_noise**2 * np.eye(self.pairs.n_pairs)
        return (level + block) / outlook.power


def future_pairs(outlook: Outlook, n_weeks: int, is_used: Bools | None = None) -> FuturePairs:
    """Comparisons that ``n_weeks`` further weeks add; ``is_used`` (n_weeks,) or all of them.

    A block that the record has begun already is left out: part of it is known.
    """
    past = len(outlook.weekly_sets)
    more = np.ones(n_weeks, dtype=bool) if is_used is None else is_used
    mask = np.concatenate([outlook.is_used, more])
    pairs = pair_blocks(mask, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    before = pair_blocks(outlook.is_used, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    known = int(before.later.max()) if before.n_pairs else -1
    is_new = (pairs.end_week >= past) & (pairs.later > known)
    first = int(pairs.start_week[is_new].min()) if is_new.any() else past
    own = BlockPairs(
        pairs.start_week[is_new] - first,
        pairs.end_week[is_new] - first,
        pairs.difference[is_new, first:],
        pairs.growth[is_new, first:],
        pairs.earlier[is_new],
        pairs.later[is_new],
    )
    weeks = np.arange(first, past + n_weeks)
    age = outlook.training_age_years[0] + weeks / WEEKS_PER_YEAR
    return FuturePairs(outlook, own, first, age)
