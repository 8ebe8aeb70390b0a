"""Records of priority phases: what they are read from, and what was found. Log x 100, about per
cent."""

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.priority.windows import Phase


@dataclass(frozen=True)
class PriorityWeeks:
    """What the phases are read from.

    Attributes
    ----------
    level_log, weekly_sets : (n_weeks,) by muscle; nan where not known.
    left_out : (n_weeks,) by muscle: deloads, windows after layoffs and injuries.
    is_trained : (n_weeks,) ordinary training weeks: no deload, no layoff, logged.
    training_age_years : (n_weeks,).
    """

    level_log: Mapping[str, Floats]
    weekly_sets: Mapping[str, Floats]
    left_out: Mapping[str, Bools]
    is_trained: Bools
    training_age_years: Floats


@dataclass(frozen=True)
class Estimate:
    """A value with its interval, log x 100."""

    value: float
    low: float
    high: float

    @property
    def called(self) -> int:
        """The sign that the interval tells, 0 where it holds zero."""
        return int(self.low > 0) - int(self.high < 0)


@dataclass(frozen=True)
class MusclePhase:
    """One muscle through one phase: weekly sets and share of all sets, usual and in the phase;
    change of its index; the mean change of ``n_matched`` ordinary windows as long; the gain."""

    muscle: str
    is_chosen: bool
    usual_sets: float
    phase_sets: float
    usual_share: float
    phase_share: float
    change_pct: float
    matched_pct: float
    n_matched: int
    gain: Estimate


@dataclass(frozen=True)
class PhaseEffect:
    """One phase: its muscles, mean gain of the chosen ones, mean of the others (None: no others);
    ``n_weeks`` trained weeks and ``n_usual`` usual ones behind it."""

    phase: Phase
    muscles: tuple[MusclePhase, ...]
    gain: Estimate
    cost: Estimate | None
    n_weeks: int
    n_usual: int


@dataclass(frozen=True)
class PriorityLedger:
    """All phases, in the order given; the same of matched ordinary stretches (placebos), a few
    fewer where none was near; means over phases, None without any."""

    effects: tuple[PhaseEffect | Refusal, ...]
    placebos: tuple[PhaseEffect, ...]
    gain: Estimate | None
    cost: Estimate | None
