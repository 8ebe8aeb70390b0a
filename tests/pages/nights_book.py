"""Nights of the long record for the page Nights and sessions; all invented."""

from datetime import date, timedelta

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding
from tests.day_signal import day_signals

FROM_WEEK, NEW_DEVICE = 300, 460
# signal: unit of its effect, usual value, spread, usual swing in the effect's unit.
SIGNALS = {
    "sleep_min": ("%/h", 430.0, 50.0, 0.7),
    "resting_hr_bpm": ("%/bpm", 54.0, 2.0, 1.5),
    "hrv_rmssd_ms": ("%/10 %", 61.0, 8.0, 1.4),
    "steps": ("%/1000 steps", 8100.0, 2600.0, 2.6),
    "body_weight_kg": ("%/kg", 80.0, 0.5, 0.4),
}
SLEEP = {"estimate": 0.92, "low": 0.51, "high": 1.33, "n": 412}
# Signal and nights: estimate, half width; the first one stands.
TESTS = {
    ("sleep_min", 1): (SLEEP["estimate"], 0.41),
    ("sleep_min", 3): (0.40, 0.62),
    ("resting_hr_bpm", 1): (-0.11, 0.14),
    ("resting_hr_bpm", 3): (-0.21, 0.19),
    ("hrv_rmssd_ms", 1): (0.08, 0.16),
    ("hrv_rmssd_ms", 3): (0.02, 0.25),
    ("steps", 1): (-0.03, 0.07),
    ("steps", 3): (0.01, 0.11),
    ("body_weight_kg", 1): (0.1, 0.6),
}
REFUSED = ("body_weight_kg", 3)


def night_frames(lifter_id: str, first: date, weeks: int, hostile: str) -> dict[str, pl.DataFrame]:
    """Readings with a new device half way, and the tests made of them."""
    rng = np.random.default_rng(17)
    days = [first + timedelta(days=d) for d in range(7 * FROM_WEEK, 7 * weeks)]
    is_new = np.array([(day - first).days >= 7 * NEW_DEVICE for day in days])
    frames = []
    for signal, (_, usual, spread, _) in SIGNALS.items():
        value = usual + spread * rng.normal(0, 1, len(days)) + 0.3 * spread * is_new
        kept = rng.random(len(days)) < 0.9
        frames.append(
            pl.DataFrame(
                {
                    "date": days,
                    "signal": [signal] * len(days),
                    "value": value,
                    "unit": [signal.rsplit("_", 1)[-1]] * len(days),
                    "device_id": [f"watch two{hostile}" if new else "watch one" for new in is_new],
                    "row_no": np.arange(1, len(days) + 1),
                }
            ).filter(pl.Series(kept))
        )
    signals = pl.concat(frames).with_columns(lifter_id=pl.lit(lifter_id), file_id=pl.lit("nights"))
    rows = [_model_row(lifter_id, *key, *value) for key, value in TESTS.items()]
    signals = conform("tidy_signal", signals)
    return {
        "tidy_signal": signals,
        "mart_day_signal": day_signals(signals),
        "model_signal": conform("model_signal", pl.DataFrame(rows, infer_schema_length=None)),
    }


def _model_row(
    lifter_id: str, signal: str, nights: int, estimate: float, half: float
) -> dict[str, object]:
    unit, _, _, swing = SIGNALS[signal]
    return {
        "lifter_id": lifter_id,
        "signal": signal,
        "nights": nights,
        "reserve": "recorded",
        "unit": unit,
        "effect_pct": estimate,
        "low": estimate - half,
        "high": estimate + half,
        "swing": swing,
        "reliability": 0.84 if signal == "sleep_min" else 1.0,
        "p_value": 0.0001 if (signal, nights) == ("sleep_min", 1) else 0.3,
        "p_adjusted": 0.001 if (signal, nights) == ("sleep_min", 1) else 0.5,
        "is_standing": (signal, nights) == ("sleep_min", 1),
        "sessions": 412,
        "months": 48,
    }


def night_findings(lifter_id: str) -> list[dict[str, object]]:
    """One signal stands, one test is refused, the others show no more than chance."""
    rows = [_finding(lifter_id, *key, *value) for key, value in TESTS.items()]
    common = {"lifter_id": lifter_id, "question": "signal_effect", "method": "local deviations"}
    signal, nights = REFUSED
    refused = Finding(
        **common,
        subject=f"signal:{signal}@{nights}",
        unit=SIGNALS[signal][0],
        n=31,
        n_of="sessions with recorded reps in reserve and a reading",
        support="not enough",
        support_why="31 sessions with recorded reps in reserve and a reading, 40 needed",
        needs="write reserve down",
        model_version="1.0",
        sentence="Not enough: 31 sessions with recorded reps in reserve and a reading, "
        "40 needed; more.",
    )
    family = Finding(
        **common,
        subject=f"lifter:{lifter_id}",
        unit="signals",
        n=len(SIGNALS),
        n_of=f"signals in {len(TESTS)} tests",
        support="thin",
        support_why="412 sessions at most behind one test",
        model_version="1.0",
        estimate=1.0,
        sentence=f"1 of 5 signals stands. All {len(TESTS)} tests are counted together: of 100 "
        "simulated records with nothing in them 2 would show one, of 100 with hidden stress 4.",
    )
    return [*rows, refused.as_row(), family.as_row()]


def _finding(
    lifter_id: str, signal: str, nights: int, estimate: float, half: float
) -> dict[str, object]:
    stands = (signal, nights) == ("sleep_min", 1)
    return Finding(
        lifter_id=lifter_id,
        question="signal_effect",
        subject=f"signal:{signal}@{nights}",
        unit=SIGNALS[signal][0],
        n=412,
        n_of="sessions with recorded reps in reserve and a reading",
        support="fair" if stands else "not enough",
        support_why="stands among 9 tests" if stands else "0.50 by chance among 9 tests",
        method="local deviations",
        model_version="1.0",
        sentence="An invented sentence.",
        estimate=estimate,
        low=estimate - half,
        high=estimate + half,
        coverage=0.95,
    ).as_row()
