"""Simulate a whole career: the record and the truth behind it."""

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Floats

from .growth import grow
from .logbook import write_logbook
from .nights import Days, live_days, tape_girths, watch_nights, weigh_days
from .noise import draw_series
from .options import CareerOptions
from .programme import plan_programme
from .records import MUSCLES, Career, Truth
from .script import tell_spans
from .sets import draw_equipment, lift_sets, meet_days
from .spans import draw_spans
from .timeline import build_timeline
from .traits import Traits, draw_traits

_STREAMS = (
    *("traits", "days", "weeks", "spans", "timeline", "weight", "programme", "growth"),
    *("equipment", "form", "sets", "logbook", "nights", "tape"),
)


def simulate_career(seed: int, options: CareerOptions = CareerOptions()) -> Career:  # noqa: B008
    """Question: what would the record of a lifter look like whose truth is known?

    Input: a seed (the same seed and options give the same career) and options. Output: a Career.
    Growth is straight in log training age (Steele 2023, read), concave in weekly fractional sets
    about an optimum of the lifter's own; days differ by 2-3 %; loads lie on a grid; sets mostly
    stop short of failure. Each part has its own stream of random numbers, so that changing one
    option leaves the others' draws alone. Raises ValueError for impossible options. Everything
    is invented; spreads without a source named in the parts are assumptions.
    """
    streams = np.random.SeedSequence(seed).spawn(len(_STREAMS))
    rng = dict(zip(_STREAMS, map(np.random.default_rng, streams), strict=True))
    traits = draw_traits(rng["traits"], options)
    days = live_days(rng["days"], traits)
    shock = _week_shock(rng["weeks"], traits)
    spans = draw_spans(rng["spans"], traits, options)
    if options.script is not None:
        spans = tell_spans(spans, options.script, traits)
    timeline = build_timeline(
        rng["timeline"], traits, options, spans, shock - _stress_loss(traits, days)
    )
    body_weight = weigh_days(rng["weight"], traits, timeline)
    bouts = plan_programme(rng["programme"], traits, timeline)
    strength = grow(rng["growth"], traits, timeline, bouts, options)
    equipment = draw_equipment(rng["equipment"], traits, timeline)
    form = meet_days(
        rng["form"], traits, timeline, bouts, strength, equipment, days, body_weight, shock
    )
    done = lift_sets(rng["sets"], traits, timeline, bouts, form)
    return Career(
        n_weeks=traits.n_weeks,
        start=traits.start,
        training_age_at_start=traits.training_age,
        sessions_per_week=traits.habits.sessions_per_week,
        exercises=tuple(lift.exercise for lift in traits.lifts),
        muscles=MUSCLES,
        sets=write_logbook(rng["logbook"], traits, options, timeline, bouts, form, done),
        nights=watch_nights(rng["nights"], traits, options, spans, days, body_weight),
        girths=tape_girths(rng["tape"], traits, options, strength.index, body_weight, MUSCLES),
        events=timeline.events,
        truth=Truth(
            lift_level_log=strength.level,
            muscle_index_log=strength.index,
            weekly_sets=strength.sets,
            best_sets=strength.best,
            deload_effect_pct=strength.deload_effect_pct,
            sleep_effect_pct_per_h=100 * traits.acute.sleep_per_h,
            has_fatigue=traits.acute.fatigue != 0,
            has_stress=traits.acute.stress > 0,
            tolerance_trend=traits.trend,
            week_status=timeline.status,
            equipment_log=equipment,
            shown_log=strength.shown,
            usual_index_log=strength.usual,
        ),
    )


def _week_shock(rng: Generator, traits: Traits) -> Floats:
    """Good and bad weeks, log, (weeks,): half of one carries over to the next."""
    return traits.acute.week_sd * draw_series(rng, traits.n_weeks, 0.5)


def _stress_loss(traits: Traits, days: Days) -> Floats:
    """Strength that stress takes in a week, log, (weeks,)."""
    return traits.acute.stress * days.stress.reshape(-1, 7).mean(axis=1)
