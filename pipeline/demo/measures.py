"""What is measured beside training: a wearable's nights, body weight and tape measures."""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from pipeline.demo.sheet import Row, Sheet
from pipeline.demo.shorthand import write_number
from pipeline.models.simulate import Career

DEVICES = ("first watch", "second watch")
_MONDAY = 0


def write_nights(career: Career, note: str, first: date, path: str) -> Sheet:
    """The nightly table from ``first`` on: sleep as h:mm, the device in a column."""
    nights = career.nights
    rows = []
    for place in np.flatnonzero(nights.day >= (first - career.start).days).tolist():
        values = (
            nights.resting_hr_bpm[place],
            nights.hrv_rmssd_ms[place],
            nights.steps[place],
            nights.body_weight_kg[place],
        )
        day = career.start + timedelta(days=int(nights.day[place]))
        cells = (
            day.isoformat(),
            _write_clock(nights.sleep_min[place]),
            *map(_write_value, values),
            DEVICES[nights.device[place]],
        )
        rows.append(Row(cells))
    labels = ("Date", "Sleep", "Resting HR", "HRV RMSSD ms", "Steps", "Weight kg", "Device")
    return Sheet(path, note, labels, rows, measured=(1, 2, 3, 4, 5))


def write_body(career: Career, note: str, weighed_until: date, path: str) -> Sheet:
    """Body weight of Mondays before ``weighed_until``, thigh girth once a month."""
    weights = {
        day: value
        for day, value in _days(career, career.nights.day, career.nights.body_weight_kg)
        if day.weekday() == _MONDAY and day < weighed_until and not np.isnan(value)
    }
    girths = {
        day: value for one in career.girths for day, value in _days(career, one.day, one.girth_cm)
    }
    rows = [
        Row(
            (
                day.isoformat(),
                _write_value(weights.get(day, np.nan)),
                _write_value(girths.get(day, np.nan)),
            )
        )
        for day in sorted(weights.keys() | girths.keys())
    ]
    return Sheet(path, note, ("Date", "Weight kg", "Thigh cm"), rows, measured=(1, 2))


def _days(
    career: Career, days: Sequence[int] | np.ndarray, values: np.ndarray
) -> list[tuple[date, float]]:
    pairs = zip(days, values.tolist(), strict=True)
    return [(career.start + timedelta(days=int(day)), value) for day, value in pairs]


def _write_value(value: float) -> str:
    return "" if np.isnan(value) else write_number(value)


def _write_clock(minutes: float) -> str:
    return "" if np.isnan(minutes) else f"{int(minutes) // 60}:{int(minutes) % 60:02d}"
