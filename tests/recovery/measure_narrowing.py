"""Expected narrowing against what happened: best weekly sets, slopes and deloads.

``python -m tests.recovery.measure_narrowing 20 [first]``: about five seconds a career. Each muscle
is fitted on the record without its last weeks; what was then trained is the plan of all muscles;
the width expected from it is compared with the width of the fit on the whole record.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.narrowing.blocks import BlockSearch, lay, outlook_of, ratios_after
from pipeline.models.narrowing.counts import count_weeks_to_slope, narrow_by_pieces
from pipeline.models.narrowing.plans import WEEKS, Plan
from pipeline.models.pauses.deload import DeloadResponse, fit_deload_response
from pipeline.models.simulate import Career, CareerOptions, simulate_career
from pipeline.models.strength.slopes import fit_slope
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.blocks import find_usable_weeks
from pipeline.models.volume.pool import VolumePool, fit_volume_pool
from pipeline.models.volume.response_curve import best_sets_at
from pipeline.models.volume.weekly_record import MuscleWeeks
from pipeline.models.weeks import fill_gaps, mask_after
from tests.recovery.bars import Bar, mean_of, measure_bar, run_alone
from tests.recovery.deload_cases import measure_strength
from tests.recovery.measure_levels import fit_muscle
from tests.recovery.volume_cases import VolumeCase, make_case, prior_of

MODEL = "narrowing"
YEARS_BACK = 104
YEAR = 52
REACH = 1.96


@dataclass(frozen=True)
class NarrowingScore:
    """One career's (expected, found) pairs.

    block, years : width of the best sets after the last 16 and 104 weeks, as a share of before.
    slope : half width of a muscle's slope over two years from that over one, %/year.
    deload : half width of the deload effect of all from that of the first half, points.
    """

    block: tuple[tuple[float, float], ...]
    years: tuple[tuple[float, float], ...]
    slope: tuple[tuple[float, float], ...]
    deload: tuple[tuple[float, float], ...]


def measure_career(seed: int, career: Career | None = None) -> NarrowingScore:
    """The scores of one career."""
    drawn = career or simulate_career(seed, CareerOptions())
    cases = {muscle: make_case(drawn, muscle) for muscle in drawn.muscles}
    known = {muscle: one for muscle, one in cases.items() if not isinstance(one, Refusal)}
    return NarrowingScore(
        block=_widths(known, WEEKS),
        years=_widths(known, YEARS_BACK),
        slope=_slopes(drawn),
        deload=_deloads(drawn),
    )


def cut_case(case: VolumeCase, weeks: int) -> VolumeCase:
    """The first ``weeks`` of a case."""
    return replace(case, **{name: value[:weeks] for name, value in vars(case).items()})


def weeks_of(cases: dict[str, VolumeCase]) -> dict[str, MuscleWeeks]:
    """Weekly records as the pooled fit takes them."""
    return {
        muscle: MuscleWeeks(case.level_log, case.level_se, case.weekly_sets, case.left_out)
        for muscle, case in cases.items()
    }


def fit_cases(cases: dict[str, VolumeCase]) -> VolumePool:
    """All muscles under the simulated population's prior."""
    one = next(iter(cases.values()))
    return fit_volume_pool(
        weeks_of(cases),
        one.training_age_years,
        priors={muscle: prior_of(muscle) for muscle in cases},
        body_weight_kg=one.body_weight_kg,
        energy=one.energy,
    )


def _widths(cases: dict[str, VolumeCase], back: int) -> tuple[tuple[float, float], ...]:
    """Of every muscle that is answered both before and after the last ``back`` weeks."""
    short = {muscle: cut_case(case, len(case.weekly_sets) - back) for muscle, case in cases.items()}
    before, whole = fit_cases(short), fit_cases(cases)
    age = next(iter(short.values())).training_age_years
    outlook = outlook_of(before, weeks_of(short), age)
    if outlook is None:
        return ()
    first = len(age)
    plans = {
        name: (
            Plan(fill_gaps(cases[name].weekly_sets)[first:], ()),
            used_weeks(cases[name])[first:],
        )
        for name in outlook.joint
    }
    laid = [lay(outlook, name, *plans[name]) for name in outlook.joint]
    search = BlockSearch(outlook, back) if back == WEEKS else None
    ratios, pairs = ratios_after(outlook, laid, back), []
    for muscle in outlook.joint:
        answers = whole.answers[muscle], before.answers[muscle]
        if not all(isinstance(one, VolumeResponse) for one in answers):
            continue
        found = [float(np.std(best_sets_at(one.draws, outlook.age))) for one in answers]
        expected = search.ratio(muscle, plans) if search else ratios[muscle]
        pairs.append((expected, found[0] / found[1]))
    return tuple(pairs)


def used_weeks(case: VolumeCase) -> np.ndarray:
    """Weeks whose level is read."""
    return find_usable_weeks(case.level_log, case.level_se, case.weekly_sets, case.left_out)


def _slopes(career: Career) -> tuple[tuple[float, float], ...]:
    """Half width foretold for two years from that of the first of them."""
    pairs = []
    for muscle in range(0, len(career.muscles), 4):
        fitted = fit_muscle(career, muscle)
        if isinstance(fitted, Refusal):
            continue
        last = int(np.flatnonzero(fitted.is_trained)[-1])
        one, two = (fit_slope(fitted, last - weeks, last) for weeks in (YEAR, 2 * YEAR))
        if isinstance(one, Refusal) or isinstance(two, Refusal):
            continue
        span, longer = one.week_to - one.week_from, two.week_to - two.week_from
        half, limit = (one.high - one.low) / 2, (two.high - two.low) / 2
        weeks = count_weeks_to_slope(half, span, limit, 3 * YEAR)
        if weeks is not None:
            pairs.append((float(span + weeks), float(longer)))
    return tuple(pairs)


def _deloads(career: Career) -> tuple[tuple[float, float], ...]:
    """Half width of the effect of all deloads, foretold from the first half of the record."""
    strength, weights = measure_strength(career)
    status = career.truth.week_status
    left_out, half = mask_after(status == "layoff"), len(status) // 2
    fits = [
        fit_deload_response(
            strength[:end], weights[:end], np.flatnonzero(status[:end] == "deload"), left_out[:end]
        )
        for end in (half, len(status))
    ]
    early, whole = fits
    if not (isinstance(early, DeloadResponse) and isinstance(whole, DeloadResponse)):
        return ()
    if whole.n <= early.n:
        return ()
    expected = narrow_by_pieces(REACH * early.se_pct, early.n, whole.n - early.n)
    return ((expected, REACH * whole.se_pct),)


def bars(scores: Sequence[NarrowingScore]) -> list[Bar]:
    """Found over expected, each with its standard error over careers."""
    return [
        _median("width after a block, found over expected", "block", scores, 0.9, 1.1),
        _mean("width after a block, mean found less mean expected", "block", scores),
        _median("width after two years, found over expected", "years", scores, 0.9, 1.1),
        _mean("width after two years, mean found less mean expected", "years", scores),
        _median("weeks to a slope's width, found over expected", "slope", scores, 0.8, 1.25),
        _median("width of a deload effect, found over expected", "deload", scores, 0.8, 1.25),
    ]


def _pairs(name: str, scores: Sequence[NarrowingScore]) -> np.ndarray:
    return np.array([pair for one in scores for pair in getattr(one, name)]).reshape(-1, 2)


def _median(told: str, name: str, scores: Sequence[NarrowingScore], low: float, high: float) -> Bar:
    def statistic(chosen: Sequence[NarrowingScore]) -> float:
        pairs = _pairs(name, chosen)
        return float(np.median(pairs[:, 1] / pairs[:, 0])) if len(pairs) else float("nan")

    note = f"median of {len(_pairs(name, scores))}"
    return measure_bar(MODEL, told, statistic, scores, low=low, high=high, note=note)


def _mean(told: str, name: str, scores: Sequence[NarrowingScore]) -> Bar:
    def statistic(chosen: Sequence[NarrowingScore]) -> float:
        pairs = _pairs(name, chosen)
        return mean_of(pairs[:, 1]) - mean_of(pairs[:, 0])

    return measure_bar(MODEL, told, statistic, scores)


if __name__ == "__main__":
    sys.exit(run_alone(measure_career, bars, sys.argv[1:]))
