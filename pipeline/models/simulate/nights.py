"""Days and nights: what the lifter went through, and what a device on the wrist made of it."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from pipeline.models.arrays import Floats

from .noise import draw_series
from .options import CareerOptions
from .records import SimGirth, SimNights
from .spans import Spans
from .timeline import Timeline
from .traits import Traits

# Wrist devices read about 17 minutes too little sleep on average (Lee 2025, read).
_DEVICE_SLEEP_BIAS_MIN, _DEVICE_SLEEP_SD_MIN = -17.0, 20.0

# site: muscles it stands for, cm, cm per unit of log strength, cm per kg of body weight.
_SITES: dict[str, tuple[tuple[str, ...], float, float, float]] = {
    "thigh": (("quads", "hamstrings"), 58.0, 9.0, 0.25),
    "upper_arm": (("biceps", "triceps"), 37.0, 6.0, 0.15),
    "calf": (("calves",), 38.0, 5.0, 0.10),
    "chest": (("chest", "lats"), 104.0, 14.0, 0.45),
}


@dataclass(frozen=True)
class Days:
    """True daily series, (days,): stress in standard deviations, sleep in hours."""

    stress: Floats
    sleep_h: Floats

    @property
    def sleep_away_h(self) -> Floats:
        """Hours of the night before the day, against the lifter's own mean."""
        return self.sleep_h - self.sleep_h.mean()


def live_days(rng: Generator, traits: Traits) -> Days:
    """Draw stress (memory of about a month) and sleep; stress moves sleep where there is any."""
    n_days = traits.n_weeks * 7
    stress = draw_series(rng, n_days, 0.97)
    weekend = np.isin(np.arange(n_days) % 7, (5, 6)) * rng.uniform(0.1, 0.6)
    own = 0.75 * rng.normal(0, 1, n_days) + 0.35 * draw_series(rng, n_days, 0.95)
    pull = 0.45 if traits.acute.stress > 0 else 0.0
    sleep = rng.normal(7.2, 0.3) + weekend + own - pull * stress
    return Days(stress=stress, sleep_h=np.clip(sleep, 2.5, 11.0))


def watch_nights(
    rng: Generator,
    traits: Traits,
    options: CareerOptions,
    spans: Spans,
    days: Days,
    body_weight: Floats,
) -> SimNights:
    """The wearable's table: from some day on, with gaps, offsets between devices and errors."""
    n_days = len(days.stress)
    first = int(rng.uniform(0.1, 0.5) * n_days) if options.with_nights else n_days
    script = options.script
    if script is not None and script.nights_from is not None:
        first = (script.nights_from - traits.start).days
    device = np.zeros(n_days, dtype=np.int64)
    for span in spans.device_changes:
        device[span.first * 7 :] += 1
    table = _read_devices(rng, days, device, _stress_seen(traits, days), body_weight)
    worn = np.arange(n_days) >= first
    worn &= ~_gaps(rng, n_days)
    return SimNights(
        day=np.flatnonzero(worn),
        **{name: values[worn] for name, values in table.items()},
        device=device[worn],
    )


def weigh_days(rng: Generator, traits: Traits, timeline: Timeline) -> Floats:
    """True body weight in kg, (days,): phases move it, and it wanders a little."""
    up, down = rng.uniform(0.0012, 0.003), rng.uniform(0.003, 0.006)
    rate = np.where(timeline.diet > 0, up, np.where(timeline.diet < 0, -down, 0.0))
    planned = np.repeat(np.cumsum(rate), 7)
    wander = 0.015 * draw_series(rng, len(planned), 0.995)
    aim = np.log(traits.body_weight_kg)
    pulled = planned - _trailing_mean(planned, 365)
    return np.exp(aim + pulled + wander)


def tape_girths(
    rng: Generator,
    traits: Traits,
    options: CareerOptions,
    index: Floats,
    body_weight: Floats,
    muscles: tuple[str, ...],
) -> tuple[SimGirth, ...]:
    """Monthly tape measures of the scripted sites, rounded to half a centimetre."""
    sites = options.script.girth_sites if options.script is not None else ()
    girths = []
    for site in sites:
        names, size, per_log, per_kg = _SITES[site]
        day = np.arange(int(rng.integers(0, 28)), traits.n_weeks * 7, 30)
        day = day[rng.random(len(day)) < 0.92]
        strong = index[[muscles.index(name) for name in names]].mean(axis=0)[day // 7]
        heavy = per_kg * (body_weight[day] - traits.body_weight_kg)
        taped = size + per_log * strong + heavy + rng.normal(0, 0.4, len(day))
        girths.append(SimGirth(site, names, day, np.round(taped * 2) / 2))
    return tuple(girths)


def _stress_seen(traits: Traits, days: Days) -> Floats:
    """Stress as heart rate shows it; where none is planted these series know nothing of it."""
    return days.stress if traits.acute.stress > 0 else np.zeros(len(days.stress))


def _read_devices(
    rng: Generator, days: Days, device: np.ndarray, stress: Floats, body_weight: Floats
) -> dict[str, Floats]:
    n_days, n_devices = len(stress), int(device.max(initial=0)) + 1
    short = -days.sleep_away_h
    sleep_shift = _DEVICE_SLEEP_BIAS_MIN + rng.normal(0, 10, n_devices)[device]
    rate_shift, hrv_shift = rng.normal(0, 1.2, n_devices), rng.normal(0, 0.12, n_devices)
    wander = draw_series(rng, n_days, 0.98)
    rate = rng.normal(55, 4) + 1.2 * wander + 0.8 * stress + 0.6 * short + rate_shift[device]
    hrv = np.log(rng.normal(58, 12)) - 0.06 * wander - 0.05 * stress - 0.04 * short
    hrv = hrv + hrv_shift[device] + rng.normal(0, 0.14, n_days)
    steps = np.exp(rng.normal(np.log(8000), 0.2) + rng.normal(0, 0.35, n_days))
    table = {
        "sleep_min": np.round(
            60 * days.sleep_h + sleep_shift + rng.normal(0, _DEVICE_SLEEP_SD_MIN, n_days)
        ),
        "resting_hr_bpm": np.round(rate + rng.normal(0, 1.3, n_days)),
        "hrv_rmssd_ms": np.round(np.exp(hrv), 1),
        "steps": np.round(steps),
        "body_weight_kg": np.round(body_weight + rng.normal(0, 0.4, n_days), 1),
    }
    for name, share in (("sleep_min", 0.04), ("hrv_rmssd_ms", 0.06), ("body_weight_kg", 0.4)):
        table[name][rng.random(n_days) < share] = np.nan
    return table


def _gaps(rng: Generator, n_days: int) -> np.ndarray:
    """Days on which the device was not worn: single ones, and a few weeks at a time."""
    gone = rng.random(n_days) < 0.04
    for _ in range(int(rng.poisson(n_days / 365 * 0.6))):
        first = int(rng.integers(0, n_days))
        gone[first : first + int(rng.integers(5, 30))] = True
    return gone


def _trailing_mean(values: Floats, window: int) -> Floats:
    """Mean of the `window` values up to each one, fewer at the start."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    end = np.arange(1, len(values) + 1)
    begin = np.maximum(end - window, 0)
    return (total[end] - total[begin]) / (end - begin)
