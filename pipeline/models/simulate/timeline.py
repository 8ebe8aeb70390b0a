"""The career week by week: what was trained for, when it was easy, where, what was ruled out."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from pipeline.models.arrays import Bools, Floats, Ints

from .options import CareerOptions
from .records import MUSCLES, SimEvent
from .spans import Span, Spans
from .traits import Traits


@dataclass(frozen=True)
class Timeline:
    """Weekly arrays. `volume` (muscles, weeks) multiplies the usual sets; `diet` (weeks,) is 1 in
    a surplus, -1 in a deficit; `is_out` and `is_called_in` (lifts, weeks) come from injuries;
    `gym` (weeks,); `cut` is the share of sets left in a deload, `load_cut` of the load.
    """

    status: NDArray[np.str_]
    is_deload: Bools
    volume: Floats
    diet: Floats
    is_out: Bools
    is_called_in: Bools
    gym: Ints
    cut: float
    load_cut: float
    boundaries: frozenset[int]
    events: tuple[SimEvent, ...]

    @property
    def is_layoff(self) -> Bools:
        """Weeks without any training, (weeks,)."""
        return self.status == "layoff"

    @property
    def is_logged(self) -> Bools:
        """Weeks whose sets are in the record, (weeks,)."""
        return (self.status == "trained") | (self.status == "deload")


def build_timeline(
    rng: Generator, traits: Traits, options: CareerOptions, spans: Spans, shock: Floats
) -> Timeline:
    """Lay all spans on the weeks and place the deloads. `shock` (weeks,): how the weeks felt."""
    status = np.full(traits.n_weeks, "trained", dtype="<U8")
    for span in spans.layoffs + spans.unlogged:
        status[span.weeks] = span.kind
    deloads = _place_deloads(rng, traits, status, shock)
    for span in deloads:
        status[span.weeks] = "deload"
    kind = traits.habits.deload_kind
    all_spans = deloads + spans.layoffs + spans.phases + spans.injuries
    return Timeline(
        status=status,
        is_deload=status == "deload",
        volume=_volume_factors(traits.n_weeks, spans.phases),
        diet=_diet(traits.n_weeks, spans.phases),
        is_out=_lifts_in(
            traits, [(span, span.lifts_out) for span in spans.injuries + spans.not_yet]
        ),
        is_called_in=_lifts_in(traits, [(span, span.substitutes) for span in spans.injuries]),
        gym=_count_changes(traits.n_weeks, spans.gym_changes),
        cut=float(rng.uniform(0.4, 0.6)) if kind != "load_cut" else 1.0,
        load_cut=float(rng.uniform(0.88, 0.95)) if kind != "load_cut" else 0.75,
        boundaries=frozenset(
            week
            for span in spans.phases + spans.injuries + spans.not_yet
            for week in (span.first, span.last + 1)
        ),
        events=_events(all_spans + spans.gym_changes + spans.device_changes, options),
    )


def _place_deloads(
    rng: Generator, traits: Traits, status: NDArray[np.str_], shock: Floats
) -> tuple[Span, ...]:
    """Planned ones every few weeks; the reactive kind after two weeks that went badly."""
    habits = traits.habits
    reactive = habits.deload_kind == "after_bad_weeks"
    bad = np.quantile(shock[1:] + shock[:-1], 0.25)
    spans, since = [], 0
    due = habits.deload_every + int(rng.integers(-1, 2))
    for week in range(2, traits.n_weeks - 4):
        since = 0 if status[week] == "layoff" else since + 1
        felt_bad = shock[week - 1] + shock[week - 2] < bad
        wanted = since > 4 and felt_bad if reactive else since >= due
        if wanted and status[week] == "trained":
            why = "two bad weeks" if reactive else "planned"
            spans.append(Span("deload", week, week, why=why))
            since, due = 0, habits.deload_every + int(rng.integers(-1, 3))
    return tuple(spans)


def _volume_factors(n_weeks: int, phases: tuple[Span, ...]) -> Floats:
    factors = np.ones((len(MUSCLES), n_weeks))
    for span in phases:
        rows = [MUSCLES.index(name) for name in span.subject or MUSCLES]
        factors[rows, span.weeks] *= span.factor
    return factors


def _diet(n_weeks: int, phases: tuple[Span, ...]) -> Floats:
    diet = np.zeros(n_weeks)
    for span in phases:
        if span.kind in ("surplus", "deficit"):
            diet[span.weeks] = 1.0 if span.kind == "surplus" else -1.0
    return diet


def _lifts_in(traits: Traits, named: list[tuple[Span, tuple[str, ...]]]) -> Bools:
    """(lifts, weeks): true in the weeks of a span that names the lift."""
    table = np.zeros((len(traits.lifts), traits.n_weeks), dtype=bool)
    rows = {lift.exercise.exercise_id: row for row, lift in enumerate(traits.lifts)}
    for span, names in named:
        for name in names:
            if name not in rows:
                raise ValueError(f"{name} is not in the pool of {len(rows)} lifts: add it there")
            table[rows[name], span.weeks] = True
    return table


def _count_changes(n_weeks: int, changes: tuple[Span, ...]) -> Ints:
    count = np.zeros(n_weeks, dtype=np.int64)
    for span in changes:
        count[span.first :] += 1
    return count


def _events(spans: tuple[Span, ...], options: CareerOptions) -> tuple[SimEvent, ...]:
    def event(span: Span) -> SimEvent:
        is_change = span.kind in ("gym_change", "device_change")
        return SimEvent(
            kind=span.kind,
            start_day=span.first * 7,
            end_day=span.first * 7 if is_change else span.last * 7 + 6,
            subject=span.subject,
            why=span.why,
            is_declared=span.kind != "gym_change" or options.are_gym_changes_declared,
            lifts_out=span.lifts_out,
            substitutes=span.substitutes,
        )

    return tuple(sorted(map(event, spans), key=lambda e: (e.start_day, e.kind)))
