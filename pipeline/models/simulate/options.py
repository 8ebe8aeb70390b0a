"""What may be chosen about a simulated career; whatever is left None is drawn from the seed."""

from dataclasses import dataclass, field
from datetime import date

DELOAD_KINDS: tuple[str, ...] = ("planned", "after_bad_weeks", "partial", "load_cut")
TRENDS: tuple[str, ...] = ("rising", "flat", "falling")
REGIONS: tuple[str, ...] = ("knee", "lower_back", "shoulder", "elbow")


@dataclass(frozen=True)
class ScriptedPhase:
    """A phase by dates (`end` inclusive, both widened to whole weeks).

    `kind` is priority, hold, surplus or deficit; `muscles` for the first two only. `factor`
    multiplies the weekly sets of those muscles.
    """

    kind: str
    start: date
    end: date
    muscles: tuple[str, ...] = ()
    factor: float | None = None
    why: str = ""


@dataclass(frozen=True)
class ScriptedInjury:
    """An injury by dates; `lifts_out` are not done, `substitutes` are brought in meanwhile."""

    start: date
    end: date
    region: str
    lifts_out: tuple[str, ...]
    substitutes: tuple[str, ...]
    why: str = ""


@dataclass(frozen=True)
class ScriptedSpan:
    """A span without training (layoff) or without a record (unlogged), `end` inclusive."""

    start: date
    end: date
    why: str = ""


@dataclass(frozen=True)
class CareerScript:
    """A career told by hand. A group left None is drawn; an empty tuple means there is none.

    `exercises` is the whole pool of lifts, `usual` those that stay in the programme for years,
    `first_used` the day before which a lift of the pool is not done.
    """

    start: date
    exercises: tuple[str, ...] | None = None
    usual: tuple[str, ...] = ()
    first_used: tuple[tuple[str, date], ...] = ()
    phases: tuple[ScriptedPhase, ...] | None = None
    injuries: tuple[ScriptedInjury, ...] | None = None
    layoffs: tuple[ScriptedSpan, ...] | None = None
    unlogged: tuple[ScriptedSpan, ...] | None = None
    gym_changes: tuple[date, ...] | None = None
    device_changes: tuple[date, ...] | None = None
    nights_from: date | None = None
    warmups_from: date | None = None
    drops_from: date | None = None
    girth_sites: tuple[str, ...] = ()
    body_weight_kg: float | None = None


@dataclass(frozen=True)
class CareerOptions:
    """Switches of a career. `rir_recorded_from` is the share of the career after which reserve
    is written down (0 always, 1 never). `has_*` None means drawn: some lifters have it, some not.
    Without `has_phase_effect` priority phases move sets about, and all grow as with usual ones.
    """

    years: float | None = None
    sessions_per_week: int | None = None
    training_age_at_start: float | None = None
    with_nights: bool = True
    rir_recorded_from: float | None = None
    deload_kind: str | None = None
    has_deload_effect: bool | None = None
    has_sleep_effect: bool | None = None
    has_fatigue: bool | None = None
    has_stress: bool | None = None
    has_phase_effect: bool = True
    has_diet_phases: bool | None = None
    tolerance_trend: str | None = None
    n_gym_changes: int | None = None
    are_gym_changes_declared: bool = True
    n_layoffs: int | None = None
    n_injuries: int | None = None
    script: CareerScript | None = field(default=None)

    def __post_init__(self) -> None:
        """Refuse values that no career can have, with the limit and the remedy."""
        _check_range("years", self.years, 0.5, 40)
        _check_range("sessions_per_week", self.sessions_per_week, 2, 7)
        _check_range("training_age_at_start", self.training_age_at_start, 0, 40)
        _check_range("rir_recorded_from", self.rir_recorded_from, 0, 1)
        _check_choice("deload_kind", self.deload_kind, DELOAD_KINDS)
        _check_choice("tolerance_trend", self.tolerance_trend, TRENDS)


def _check_range(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not low <= value <= high:
        raise ValueError(f"{name} is {value}; give {low} to {high}, or None to have it drawn")


def _check_choice(name: str, value: str | None, choices: tuple[str, ...]) -> None:
    if value is not None and value not in choices:
        raise ValueError(f"{name} is {value!r}; give one of {', '.join(choices)}, or None")
