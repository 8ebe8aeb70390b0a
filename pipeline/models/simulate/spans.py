"""What happens in a career besides training: layoffs, phases, injuries, new gyms."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from .options import REGIONS, CareerOptions
from .records import MUSCLES
from .traits import Traits, pick

# How a told phase changes weekly sets, unless it says so itself; a diet those of all muscles
# (assumptions). Drawn phases have their own: see `Habits.diet_sets` and `_draw_priorities`.
PHASE_FACTORS: dict[str, float] = {
    "priority": 1.6,
    "hold": 0.6,
    "surplus": 1.08,
    "deficit": 0.85,
}


@dataclass(frozen=True)
class Span:
    """Whole weeks `first` to `last` (inclusive, from the career's start); see SimEvent."""

    kind: str
    first: int
    last: int
    subject: tuple[str, ...] = ()
    factor: float = 1.0
    why: str = ""
    lifts_out: tuple[str, ...] = ()
    substitutes: tuple[str, ...] = ()

    @property
    def weeks(self) -> slice:
        """The span as a slice of weekly arrays."""
        return slice(self.first, self.last + 1)


@dataclass(frozen=True)
class Spans:
    """Every span of a career but the deloads, which depend on how training went.

    `not_yet` are the weeks before a lift's first use; they are no events.
    """

    layoffs: tuple[Span, ...]
    unlogged: tuple[Span, ...]
    phases: tuple[Span, ...]
    injuries: tuple[Span, ...]
    gym_changes: tuple[Span, ...]
    device_changes: tuple[Span, ...]
    not_yet: tuple[Span, ...] = ()


def draw_spans(rng: Generator, traits: Traits, options: CareerOptions) -> Spans:
    """Draw all spans, whether or not a script replaces some of them."""
    layoffs = _draw_layoffs(rng, traits.n_weeks, options.n_layoffs)
    taken = [(span.first, span.last) for span in layoffs]
    return Spans(
        layoffs=layoffs,
        unlogged=_draw_unlogged(rng, traits.n_weeks, taken),
        phases=_draw_priorities(rng, traits.n_weeks) + _draw_diets(rng, traits, options),
        injuries=_draw_injuries(rng, traits, options.n_injuries),
        gym_changes=_draw_changes(rng, traits.n_weeks, "gym_change", options.n_gym_changes),
        device_changes=_draw_changes(rng, traits.n_weeks, "device_change", None),
    )


def _draw_layoffs(rng: Generator, n_weeks: int, count: int | None) -> tuple[Span, ...]:
    """Breaks of 1 to 16 weeks, mostly short, never two within a quarter of a year."""
    drawn = int(rng.poisson(n_weeks / 52 * 0.4))
    spans: list[Span] = []
    for _ in range(60):
        if len(spans) >= (drawn if count is None else count):
            break
        length = int(np.clip(round(np.exp(rng.normal(1.1, 0.7))), 1, 16))
        first = int(rng.integers(8, max(9, n_weeks - length - 8)))
        if all(first > s.last + 12 or first + length + 12 < s.first for s in spans):
            why = str(rng.choice(["travel", "work", "illness", "a move of house"]))
            spans.append(Span("layoff", first, first + length - 1, why=why))
    return tuple(sorted(spans, key=lambda span: span.first))


def _draw_unlogged(rng: Generator, n_weeks: int, taken: list[tuple[int, int]]) -> tuple[Span, ...]:
    """Weeks trained but not written down, clear of the layoffs."""
    spans = []
    for _ in range(int(rng.integers(0, 4))):
        length = int(rng.integers(1, 6))
        first = int(rng.integers(4, max(5, n_weeks - length - 4)))
        if all(first > last + 4 or first + length + 4 < start for start, last in taken):
            spans.append(Span("unlogged", first, first + length - 1, why="a lost notebook"))
            taken.append((first, first + length - 1))
    return tuple(spans)


def _draw_priorities(rng: Generator, n_weeks: int) -> tuple[Span, ...]:
    """Phases of 8-16 weeks for one or two muscles, while two others are only held."""
    spans: list[Span] = []
    week = int(rng.integers(6, 30))
    while week + 8 < n_weeks:
        last = min(week + int(rng.integers(8, 17)), n_weeks) - 1
        names = [str(name) for name in rng.permutation(MUSCLES)]
        n_first = int(rng.integers(1, 3))
        gain, loss = rng.uniform(1.35, 2.0), rng.uniform(0.45, 0.8)
        spans.append(Span("priority", week, last, tuple(names[:n_first]), gain, "lagging"))
        held = tuple(names[n_first : n_first + 2])
        spans.append(Span("hold", week, last, held, loss, "room for the priority"))
        week = last + 1 + int(rng.integers(3, 26))
    return tuple(spans)


def _draw_diets(rng: Generator, traits: Traits, options: CareerOptions) -> tuple[Span, ...]:
    """Surplus with more sets, then a deficit with fewer, months at maintenance between."""
    wanted = pick(rng, options.has_diet_phases, 0.7)
    spans: list[Span] = []
    week = int(rng.integers(8, 40))
    more, fewer = traits.habits.diet_sets
    kinds = [("surplus", 12, 28, more), ("deficit", 8, 17, fewer)]
    for turn in range(traits.n_weeks):
        kind, low, high, factor = kinds[turn % 2]
        last = week + int(rng.integers(low, high)) - 1
        if last >= traits.n_weeks:
            break
        spans.append(Span(kind, week, last, (), factor, "body weight"))
        week = last + 1 + int(rng.integers(0, 30))
    return tuple(spans) if wanted else ()


def _draw_injuries(rng: Generator, traits: Traits, count: int | None) -> tuple[Span, ...]:
    """A region's complaint of 6-22 weeks; every lift that strains the region is out."""
    drawn = int(rng.poisson(traits.n_weeks / 52 * 0.15))
    spans = []
    for _ in range(drawn if count is None else count):
        region = str(rng.choice(REGIONS))
        length = int(rng.integers(6, 23))
        first = int(rng.integers(8, max(9, traits.n_weeks - length - 2)))
        out = tuple(lift.exercise.exercise_id for lift in traits.lifts if region in lift.regions)
        why = f"{region.replace('_', ' ')} complaint"
        last = min(first + length, traits.n_weeks) - 1
        spans.append(Span("injury", first, last, (region,), why=why, lifts_out=out))
    return tuple(sorted(spans, key=lambda span: span.first))


def _draw_changes(rng: Generator, n_weeks: int, kind: str, count: int | None) -> tuple[Span, ...]:
    drawn = min(int(rng.poisson(n_weeks / 52 * 0.15)), 3)
    weeks = rng.permutation(np.arange(10, max(11, n_weeks - 10)))
    return tuple(
        Span(kind, int(week), int(week), why=kind.replace("_", " "))
        for week in sorted(weeks[: drawn if count is None else count])
    )
