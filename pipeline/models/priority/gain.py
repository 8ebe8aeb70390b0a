"""What a priority phase bought its muscles and cost the others.

Question: by how much did a muscle's strength index move through a phase beyond what it would have
done with its usual sets at that training age? Association, never cause.

In: phases, weekly arrays of each muscle, and each muscle's response to weekly sets as fitted from
the whole record (``volume.pool``). Out: one ``PhaseEffect`` a phase or a ``Refusal``, and all of
them together; log x 100, about per cent. With r the response, v the sets and u the usual weeks
around the phase, a phase gained (own derivation)

    sum over its trained weeks of r(age, v) - mean over u of r(age, v_u).

The usual response is averaged, not taken at the mean sets: a concave response gives less on sets
that move about. Source: own study on simulated careers (DEVELOPERS.md): the index itself moves by
a per cent through twelve weeks by error alone, a phase gains a few tenths, so that what other
phases and blocks say of the same muscle tells more than the phase's own ends. The change of the
index and that of matched ordinary windows stand beside it.

Assumptions: what a week adds depends on its sets as in every other week of the muscle; errors of
the response widened by ``WIDENING``, and each muscle of each phase scattered by ``SCATTER`` of its
own, half of that variance common to all phases of a lifter. Refuses a phase of fewer than
``LEAST_WEEKS`` trained weeks or with fewer than ``LEAST_USUAL`` usual ones, and one whose chosen
muscles have no fitted response.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.priority.ledger import (
    Estimate,
    MusclePhase,
    PhaseEffect,
    PriorityLedger,
    PriorityWeeks,
)
from pipeline.models.priority.windows import (
    MATCHED_WINDOWS,
    Phase,
    find_usual,
    find_windows,
    mask_phases,
    read_change,
)
from pipeline.models.volume.answer import VolumeResponse
from pipeline.models.volume.response_curve import response_at
from pipeline.models.weeks import WEEKS_PER_YEAR

# Chosen on 60 simulated careers (seeds 0 to 59) under the shipped prior, whose centre is not
# theirs: with 1 and 0 the 90 % intervals held 0.74 of gains and 0.71 of costs; with these, on fresh
# ones, 0.89 and 0.86 (``python -m tests.recovery.measure_priority 20 71000``).
WIDENING = 1.3
SCATTER = 0.10
LEAST_WEEKS = 4
LEAST_USUAL = 8
SEED = 0  # of the scatter: the same record gives the same answer


@dataclass(frozen=True)
class _Draws:
    effect: PhaseEffect
    gain: Floats
    cost: Floats | None


def fit_priority(
    phases: Sequence[Phase],
    weeks: PriorityWeeks,
    responses: Mapping[str, VolumeResponse | Refusal],
    *,
    coverage: float = 0.95,
) -> PriorityLedger:
    """Gain and cost of every phase and of all of them together.

    Parameters
    ----------
    phases : in any order; they may overlap. Each must lie inside the record.
    weeks : the record.
    responses : by muscle, from ``fit_volume_pool``; a refused muscle is left out.
    coverage : of the intervals.
    """
    fitted = {name: one for name, one in responses.items() if isinstance(one, VolumeResponse)}
    rng = np.random.default_rng(SEED)
    reader = _Reader(weeks, fitted, mask_phases(phases, weeks.is_trained.size), coverage, rng)
    found = [reader.read(phase) for phase in phases]
    known = [one for one in found if isinstance(one, _Draws)]
    placebos = [reader.read_placebo(one.effect.phase) for one in known]
    costs = [one.cost for one in known if one.cost is not None]
    return PriorityLedger(
        effects=tuple(one.effect if isinstance(one, _Draws) else one for one in found),
        placebos=tuple(one.effect for one in placebos if isinstance(one, _Draws)),
        gain=_mean_of([one.gain for one in known], coverage),
        cost=_mean_of(costs, coverage),
    )


class _Reader:
    """Reads phases off one record; the draws of all phases belong together."""

    def __init__(
        self,
        weeks: PriorityWeeks,
        fitted: Mapping[str, VolumeResponse],
        inside: Bools,
        coverage: float,
        rng: np.random.Generator,
    ) -> None:
        self._weeks, self._fitted, self._inside = weeks, fitted, inside
        self._coverage, self._rng = coverage, rng
        self._total = np.nansum(list(weeks.weekly_sets.values()), axis=0)
        self._shared = {
            name: rng.standard_normal(one.draws.shape[0]) for name, one in fitted.items()
        }

    def read(self, phase: Phase) -> _Draws | Refusal:
        """The phase's effect with its draws."""
        chosen = [name for name in phase.chosen if name in self._fitted]
        if not chosen:
            return _refuse_unfitted(phase)
        trained = self._trained_weeks(phase)
        usual = {name: self._usual_weeks(name, phase) for name in self._fitted}
        few = _refuse_few(trained.size, min(usual[name].size for name in chosen))
        if few is not None:
            return few
        draws = {
            name: self._draw(name, trained, weeks)
            for name, weeks in usual.items()
            if weeks.size >= LEAST_USUAL
        }
        others = [one for name, one in draws.items() if name not in chosen]
        gain = np.mean([draws[name] for name in chosen], axis=0)
        cost = np.mean(others, axis=0) if others else None
        effect = PhaseEffect(
            phase=phase,
            muscles=tuple(
                self._describe(name, phase, trained, usual[name], one)
                for name, one in draws.items()
            ),
            gain=_summarise(gain, self._coverage),
            cost=None if cost is None else _summarise(cost, self._coverage),
            n_weeks=trained.size,
            n_usual=min(usual[name].size for name in chosen),
        )
        return _Draws(effect, gain, cost)

    def read_placebo(self, phase: Phase) -> _Draws | Refusal | None:
        """The same muscles over the nearest stretch of ordinary weeks as long as the phase."""
        starts = find_windows(self._inside, phase.n_weeks, phase.first)
        if starts.size == 0:
            return None
        first = int(starts[0])
        return self.read(Phase(first, first + phase.n_weeks - 1, phase.chosen))

    def _trained_weeks(self, phase: Phase) -> Ints:
        trained: Ints = phase.first + np.flatnonzero(
            self._weeks.is_trained[phase.first : phase.last + 1]
        )
        return trained

    def _usual_weeks(self, name: str, phase: Phase) -> Ints:
        weeks = self._weeks
        is_usual = weeks.is_trained & ~self._inside & ~weeks.left_out[name]
        return find_usual(is_usual & np.isfinite(weeks.weekly_sets[name]), phase)

    def _draw(self, name: str, trained: Ints, usual: Ints) -> Floats:
        """(n_draws,) gain, log x 100, widened and scattered."""
        response, sets = self._fitted[name], self._weeks.weekly_sets[name]
        age, values = self._weeks.training_age_years, response.draws[:, None, :]
        done = response_at(values, age[trained], sets[trained]).sum(axis=1)
        middle = age[trained].mean()
        would = response_at(values, middle, sets[usual]).mean(axis=1) * trained.size
        gain = 100.0 / WEEKS_PER_YEAR * (done - would)
        own = self._rng.standard_normal(gain.size)
        scatter = SCATTER * np.sqrt(0.5) * (own + self._shared[name])
        widened: Floats = gain.mean() + WIDENING * (gain - gain.mean()) + scatter
        return widened

    def _describe(
        self, name: str, phase: Phase, trained: Ints, usual: Ints, gain: Floats
    ) -> MusclePhase:
        weeks, sets = self._weeks, self._weeks.weekly_sets[name]
        level = weeks.level_log[name]
        starts = find_windows(self._inside, phase.n_weeks, phase.first)
        matched = read_change(level, starts, phase.n_weeks)
        matched = matched[np.isfinite(matched)][:MATCHED_WINDOWS]
        return MusclePhase(
            muscle=name,
            is_chosen=name in phase.chosen,
            usual_sets=float(sets[usual].mean()),
            phase_sets=float(sets[trained].mean()),
            usual_share=_share(sets, self._total, usual),
            phase_share=_share(sets, self._total, trained),
            change_pct=float(read_change(level, np.array([phase.first]), phase.n_weeks)[0]),
            matched_pct=float(matched.mean()) if matched.size else float("nan"),
            n_matched=matched.size,
            gain=_summarise(gain, self._coverage),
        )


def _share(sets: Floats, total: Floats, weeks: Ints) -> float:
    return float(sets[weeks].sum() / max(total[weeks].sum(), 1.0))


def _summarise(draws: Floats, coverage: float) -> Estimate:
    tail = 50.0 * (1.0 - coverage)
    low, high = np.percentile(draws, [tail, 100.0 - tail])
    return Estimate(float(draws.mean()), float(low), float(high))


def _mean_of(draws: Sequence[Floats], coverage: float) -> Estimate | None:
    return _summarise(np.mean(draws, axis=0), coverage) if draws else None


def _refuse_unfitted(phase: Phase) -> Refusal:
    return Refusal(
        has=0,
        needs=len(phase.chosen),
        of_what="muscles of the phase whose response to weekly sets could be fitted",
        remedy="keep logging these muscles; it takes about three years of record",
    )


def _refuse_few(n_trained: int, n_usual: int) -> Refusal | None:
    if n_trained < LEAST_WEEKS:
        return Refusal(
            has=n_trained,
            needs=LEAST_WEEKS,
            of_what="ordinary training weeks inside the phase",
            remedy="a phase of two months or more can be read",
            counted="trained weeks",
        )
    if n_usual < LEAST_USUAL:
        return Refusal(
            has=n_usual,
            needs=LEAST_USUAL,
            of_what="usual training weeks around the phase, outside all phases",
            remedy="leave some weeks at usual sets between phases",
            counted="trained weeks",
        )
    return None
