"""What would narrow the interval of the best-supported weekly sets: one block, or years.

Question: if a muscle were trained by a given plan and the others as usual, how wide would the
interval of its best weekly sets be afterwards? In: the pooled fit and its weeks, a plan in
sets/week. Out: the expected width as a share of today's.

Method (own derivation). The comparisons of seven-week blocks that further weeks would add are laid
out as the fit lays out those it has: smoothed, with recent volume, with its noise R.

One block, by simulation from the posterior: scores are drawn; some of the draws are taken as the
truth in turn; their comparisons are read with noise R / power, the likelihood's power; all other
draws are weighed by the likelihood of what was read, and the weighed standard deviation of the best
sets is taken. Its mean over the truths, over today's, is the expected width.

Years hold too many comparisons for that. They add power J' R^-1 J to the inverse of the posterior's
covariance, J their derivatives by the scores at the most probable response: what a refit would
print if that stayed. A test holds the two against each other where the posterior is narrow, so
that curves are straight over it.

Assumptions: the block is trained as planned and every week of it is read; further comparisons are
independent of those so far; body weight and dieting tell nothing new. Years mean: all muscles
trained as in the last two, over again. Refuses nothing: without a fit there is no outlook.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from pipeline.models.arrays import Bools, Floats
from pipeline.models.narrowing.future import FuturePairs, future_pairs
from pipeline.models.narrowing.plans import Plan
from pipeline.models.volume.blocks import find_usable_weeks
from pipeline.models.volume.joint import SHARED, JointMap, JointMuscle, linearise_all, values_of
from pipeline.models.volume.noise import NoiseScales, Whitener
from pipeline.models.volume.pool import VolumePool
from pipeline.models.volume.response_curve import FATIGUE, N_VALUES, POWER, SETS, TREND, response_at
from pipeline.models.volume.weekly_record import MuscleWeeks
from pipeline.models.weeks import WEEKS_PER_YEAR, fill_gaps

RECENT_WEEKS = 104
# A block that takes less than this off the interval tells nothing (the issue's own limit).
LEAST_NARROWING = 0.10
# Years are counted until the interval is narrower by this; common practice, no published source.
TELLING_NARROWING = 0.25
N_DRAWS, N_TRUTHS = 800, 120
SEED = 0
YEARS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)


@dataclass(frozen=True)
class Outlook:
    """A lifter's pooled fit and the weeks it was read from.

    Attributes
    ----------
    joint : the muscles as the fit took them, by name.
    found : its most probable scores, covariance and noise.
    weekly_sets, is_used : (n_weeks,) by muscle: sets with gaps filled, weeks whose level was read.
    training_age_years : (n_weeks,).
    power : the power that the likelihood was raised to.
    """

    joint: Mapping[str, JointMuscle]
    found: JointMap
    weekly_sets: Mapping[str, Floats]
    is_used: Mapping[str, Bools]
    training_age_years: Floats
    power: float

    @property
    def age(self) -> float:
        """Training age at the end of the record."""
        return float(self.training_age_years[-1])

    def width(self, muscle: str, covariance: Floats) -> float:
        """Standard deviation of a muscle's best weekly sets at the end of the record, sets/week.

        covariance : (n_scores, n_scores) of the scores.
        """
        gradient = self.gradient(muscle, self.age)
        return float(np.sqrt(gradient @ covariance @ gradient))

    def gradient(self, muscle: str, age: float) -> Floats:
        """(n_scores,) derivatives of a muscle's best weekly sets at ``age``; constant."""
        names = list(self.joint)
        prior, out = self.joint[muscle].prior, np.zeros(self.found.scores.size)
        out[SETS] = prior.spread_sets * np.sqrt(SHARED)
        out[N_VALUES + names.index(muscle)] = prior.spread_sets * np.sqrt(1.0 - SHARED)
        out[TREND] = prior.trend_spread * (age - 5.0)
        return out


@dataclass(frozen=True)
class PlanValue:
    """A plan and the expected width of the interval after it, as a share of today's."""

    plan: Plan
    ratio: float

    @property
    def narrows(self) -> bool:
        """Whether it takes at least ``LEAST_NARROWING`` off the interval."""
        return self.ratio <= 1.0 - LEAST_NARROWING


def outlook_of(
    pool: VolumePool,
    weeks: Mapping[str, MuscleWeeks],
    training_age_years: Floats,
    power: float = POWER,
) -> Outlook | None:
    """The outlook of a pooled fit; ``weeks`` as it took them. None where nothing was fitted.

    training_age_years : (n_weeks,). power : share of the likelihood that is believed, 0 to 1.
    """
    joint, found = pool.fitted.joint, pool.fitted.found
    if found is None:
        return None
    own = {name: weeks[name] for name in joint}
    return Outlook(
        joint,
        found,
        {name: fill_gaps(one.weekly_sets) for name, one in own.items()},
        {
            name: find_usable_weeks(one.level_log, one.level_se, one.weekly_sets, one.left_out)
            for name, one in own.items()
        },
        np.asarray(training_age_years, dtype=np.float64),
        power,
    )


@dataclass(frozen=True)
class Laid:
    """A muscle's further comparisons: their place and what each would show."""

    future: FuturePairs
    muscle: JointMuscle


def lay(outlook: Outlook, name: str, plan: Plan, is_used: Bools) -> Laid:
    """A muscle's further comparisons under a plan; plan and ``is_used`` (n_weeks,) each."""
    future = future_pairs(outlook.is_used[name], is_used)
    prior = outlook.joint[name].prior
    sets = np.concatenate([outlook.weekly_sets[name], plan.weekly_sets])
    start = float(outlook.training_age_years[0])
    return Laid(future, JointMuscle(future.design(sets, start, prior), future.slot, prior))


def lay_usual(outlook: Outlook, name: str, n_weeks: int) -> Laid:
    """The same as in the last two years, its deloads and absences too."""
    sets = np.resize(outlook.weekly_sets[name][-RECENT_WEEKS:], n_weeks)
    used = np.resize(outlook.is_used[name][-RECENT_WEEKS:], n_weeks)
    return lay(outlook, name, Plan(sets, ()), used)


class BlockSearch:
    """The block that narrows most, muscle by muscle, the others going on as in the last two years.

    outlook : the fit. n_weeks : length of the block. Draws and noise are the same for every plan,
    so that plans differ by themselves.
    """

    def __init__(self, outlook: Outlook, n_weeks: int) -> None:
        rng = np.random.default_rng(SEED)
        root = np.linalg.cholesky(outlook.found.covariance)
        half = rng.standard_normal((N_DRAWS // 2, root.shape[0]))
        self._outlook, self._n_weeks = outlook, n_weeks
        self._scores = outlook.found.scores + np.concatenate([half, -half]) @ root.T
        self._laid = [lay_usual(outlook, name, n_weeks) for name in outlook.joint]
        self._shown = [self._show(number, one) for number, one in enumerate(self._laid)]

    @property
    def n_weeks(self) -> int:
        """Length of the block."""
        return self._n_weeks

    @property
    def muscles(self) -> tuple[str, ...]:
        """Muscles whose best sets may be asked for."""
        return tuple(self._outlook.joint)

    def find_best(self, muscle: str, plans: Sequence[Plan]) -> PlanValue:
        """The plan after which the interval of the muscle's best sets is expected narrowest."""
        every = np.ones(self._n_weeks, dtype=bool)
        values = [PlanValue(plan, self.ratio(muscle, {muscle: (plan, every)})) for plan in plans]
        return min(values, key=lambda value: value.ratio)

    def ratio(self, muscle: str, plans: Mapping[str, tuple[Plan, Bools]]) -> float:
        """Expected width of a muscle's best sets, as a share of today's.

        plans : sets and readable weeks of those muscles that do not go on as usual.
        """
        laid, shown = list(self._laid), list(self._shown)
        for number, name in enumerate(self._outlook.joint):
            if name in plans:
                laid[number] = lay(self._outlook, name, *plans[name])
                shown[number] = self._show(number, laid[number])
        read = [number for number, one in enumerate(laid) if one.future.pairs.n_pairs]
        if not read:
            return 1.0
        precision = _precision(self._outlook, [laid[number].muscle.slot for number in read], read)
        white = np.hstack([shown[number] for number in read]) @ np.linalg.cholesky(precision)
        quantity = self._scores @ self._outlook.gradient(muscle, self._outlook.age)
        return weighed_ratio(quantity, white)

    def _show(self, number: int, one: Laid) -> Floats:
        """(n_draws, n_pairs) comparisons that each draw gives a muscle's further weeks."""
        prior, design = one.muscle.prior, one.muscle.design
        values = values_of(prior, self._scores, number, len(self._outlook.joint))
        yearly = response_at(values[:, None, :], design.age, design.sets)
        return (yearly / WEEKS_PER_YEAR) @ design.growth.T - values[:, [FATIGUE]] * design.recent


def weighed_ratio(quantity: Floats, white: Floats) -> float:
    """Expected standard deviation of ``quantity`` once ``white`` is read, as a share.

    quantity : (n,) draws. white : (n, m) what each draw would show, in standard errors.
    """
    truths = np.linspace(0, len(white) - 1, N_TRUTHS).astype(np.int64)
    read = white[truths] + np.random.default_rng(SEED).standard_normal((N_TRUTHS, white.shape[1]))
    # Minus half the squared distance, up to what is the same for all draws.
    fit = read @ white.T - 0.5 * np.sum(white**2, axis=1)
    fit[np.arange(N_TRUTHS), truths] = -np.inf
    weight = np.exp(fit - fit.max(axis=1, keepdims=True))
    weight /= weight.sum(axis=1, keepdims=True)
    about = quantity - quantity.mean()
    mean = weight @ about
    spread = np.sqrt(np.maximum(weight @ about**2 - mean**2, 0.0))
    return float(np.mean(spread) / np.std(quantity))


def ratios_after(outlook: Outlook, laid: Sequence[Laid], weeks: float) -> dict[str, float]:
    """Width of each muscle's best sets by the added curvature, as a share of today's.

    laid : further weeks of every muscle. weeks : how many of them are over.
    """
    today, covariance = outlook.found.covariance, _covariance_after(outlook, laid, weeks)
    return {
        name: outlook.width(name, covariance) / outlook.width(name, today) for name in outlook.joint
    }


def count_years(outlook: Outlook, narrowing: float = TELLING_NARROWING) -> dict[str, float | None]:
    """Years of training as in the last two until each interval is narrower by ``narrowing``.

    By muscle, one of ``YEARS``; None when more than the last of them.
    """
    n_weeks = int(np.ceil(YEARS[-1] * WEEKS_PER_YEAR))
    laid = [lay_usual(outlook, name, n_weeks) for name in outlook.joint]
    found: dict[str, float | None] = dict.fromkeys(outlook.joint)
    for years in reversed(YEARS):
        for name, ratio in ratios_after(outlook, laid, years * WEEKS_PER_YEAR).items():
            if ratio <= 1.0 - narrowing:
                found[name] = years
    return found


def _covariance_after(outlook: Outlook, laid: Sequence[Laid], weeks: float) -> Floats:
    """Covariance of the scores once the comparisons that end within ``weeks`` are read."""
    counts = [one.future.ends_within(weeks) for one in laid]
    read = [number for number, count in enumerate(counts) if count]
    if not read:
        return outlook.found.covariance
    slopes = linearise_all([one.muscle for one in laid], outlook.found.scores)[1]
    slots = [laid[number].muscle.slot[: counts[number]] for number in read]
    columns = [slopes[number][: counts[number]] for number in read]
    gained = outlook.power * _whitener(outlook, slots, read).gram(columns)
    after = np.linalg.inv(np.linalg.inv(outlook.found.covariance) + gained)
    return np.asarray(after, dtype=np.float64)


def _precision(outlook: Outlook, slots: Sequence[Floats], read: Sequence[int]) -> Floats:
    """Inverse covariance of the comparisons of the muscles ``read``, one after the other."""
    ends = np.cumsum([0, *(slot.size for slot in slots)])
    whole = np.eye(ends[-1])
    columns = [whole[start:end] for start, end in pairwise(ends)]
    return outlook.power * _whitener(outlook, slots, read).gram(columns)


def _whitener(outlook: Outlook, slots: Sequence[Floats], read: Sequence[int]) -> Whitener:
    noise = outlook.found.noise
    scales = NoiseScales(noise.scale[list(read)], noise.correlation, noise.share)
    return Whitener(slots, scales)
