"""Which signals of nights and days go with the next sessions' strength: association only."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record, column
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.easing_weekly import number_lifts
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_screen, support_signal
from pipeline.models.arrays import Ints
from pipeline.models.signals.days import SIGNAL_KINDS, DailySignal, SignalKind, lay_signal
from pipeline.models.signals.effect import Bouts, SignalEffect, gather_bouts, log_set_strength
from pipeline.models.signals.screen import ScreenedSignal, screen_signals
from pipeline.models.strength.rep_curve import ASSUMED_RIR

METHOD = "deviation from the own four weeks on both sides, slow means held, whole family corrected"
COVERAGE = 0.95
KINDS = {kind.name: kind for kind in SIGNAL_KINDS}

# Simulated careers of 100 in which any signal stood: with nothing planted, and with hidden stress
# that moves nights and strength alike (tests/recovery/measure_signals.py, seeds 0 to 199: 2 of 200
# and 5 of 200).
FALSE_OF_100, STRESS_OF_100 = 1, 3

# What a reading more is called, and when it was.
MORE = {
    "sleep_min": ("an hour more sleep", "the night before", "a night over the three nights before"),
    "resting_hr_bpm": (
        "a resting heart rate higher by one beat",
        "the night before",
        "over the three nights before",
    ),
    "hrv_rmssd_ms": (
        "a heart rate variability (RMSSD) higher by 10 %",
        "the night before",
        "over the three nights before",
    ),
    "hrv_sdnn_ms": (
        "a heart rate variability (SDNN) higher by 10 %",
        "the night before",
        "over the three nights before",
    ),
    "steps": ("1,000 more steps", "the day before", "a day over the three days before"),
    "body_weight_kg": ("a body weight higher by 1 kg", "that day", "over the last three days"),
}


@dataclass(frozen=True)
class NightsAnswers:
    """Table ``model_signal`` and findings."""

    signals: pl.DataFrame
    findings: tuple[Finding, ...]


def answer_nights(
    record: Record, readings: pl.DataFrame, rep_slopes: Mapping[str, float]
) -> NightsAnswers:
    """Answer which signals go with strength; nothing where the record has no such signal.

    Parameters
    ----------
    readings : ``mart_day_signal`` of the lifter.
    rep_slopes : each lift's own repetition slope.
    """
    daily = read_daily(record, readings)
    if not daily:
        return NightsAnswers(empty_frame("model_signal"), ())
    screen = screen_signals(read_bouts(record, rep_slopes, recorded=True), daily)
    beside = screen_signals(read_bouts(record, rep_slopes, recorded=False), daily)
    findings = [_find_signal(record, one, _count_tests(screen)) for one in screen]
    rows = [_row(one, "recorded") for one in screen] + [_row(one, "unrecorded") for one in beside]
    return NightsAnswers(
        _frame(record, [row for row in rows if row]), (*findings, _find_family(record, screen))
    )


def read_bouts(record: Record, rep_slopes: Mapping[str, float], *, recorded: bool) -> Bouts:
    """Lift-days of ordinary weeks, from sets with recorded reserve or from those without."""
    is_recorded = pl.col("rir_source") == "recorded"
    sets = record.strength_sets.filter(is_recorded if recorded else ~is_recorded)
    easy = record.weeks_within("deload", "layoff")
    sets = sets.filter(~pl.Series(easy[sets["week"].to_numpy()], dtype=pl.Boolean))
    slope = np.array([rep_slopes.get(one, 1.0) for one in sets["exercise_id"]], np.float64)
    left = column(sets, "rir") if recorded else np.full(sets.height, ASSUMED_RIR)
    strength = log_set_strength(column(sets, "load_moved_kg"), column(sets, "reps"), left, slope)
    day = (sets["session_date"] - record.first_week).dt.total_days().cast(pl.Int64).to_numpy()
    return gather_bouts(day, number_lifts(record, sets), strength)


def read_daily(record: Record, readings: pl.DataFrame) -> dict[str, DailySignal]:
    """The signals there are, on the calendar of the record; ``readings`` is ``mart_day_signal``."""
    found = {}
    for kind in SIGNAL_KINDS:
        rows = readings.filter(pl.col("signal") == kind.name).sort("date")
        if rows.height:
            day = (rows["date"] - record.first_week).dt.total_days().cast(pl.Int64).to_numpy()
            laid = lay_signal(
                kind, day, column(rows, "value"), _number_devices(record, rows), 7 * record.n_weeks
            )
            if np.isfinite(laid.value).any():
                found[kind.name] = laid
    return found


def _number_devices(record: Record, rows: pl.DataFrame) -> Ints:
    """A number for each device; a change told in the journal makes a new one even unsaid."""
    device = rows["device_id"].fill_null("").rank("dense").cast(pl.Int64).to_numpy()
    changes = record.events.filter(pl.col("kind") == "device_change")["start"].sort().to_numpy()
    told = np.searchsorted(changes, rows["date"].to_numpy(), side="right")
    return np.unique(np.column_stack([device, told]), axis=0, return_inverse=True)[1].ravel()


def _count_tests(screen: tuple[ScreenedSignal, ...]) -> int:
    return sum(isinstance(one.effect, SignalEffect) for one in screen)


def _find_signal(record: Record, one: ScreenedSignal, tests: int) -> Finding:
    """One test: a hit is answered; the others keep their interval and are not enough."""
    kind, effect = KINDS[one.name], one.effect
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "signal_effect",
        "subject": f"signal:{one.name}@{one.nights}",
        "unit": kind.unit,
        "method": METHOD,
    }
    if isinstance(effect, Refusal):
        return find_refused(effect, **common)
    low, high = effect.interval(COVERAGE)
    support = support_signal(effect.n_sessions, one.is_hit, one.p_adjusted, tests)
    return find_answered(
        support,
        **common,
        estimate=effect.effect_pct,
        low=low,
        high=high,
        coverage=COVERAGE,
        n=effect.n_sessions,
        n_of="sessions with recorded reps in reserve and a reading",
        needs=None if one.is_hit else "more sessions with recorded reps in reserve and a reading",
        sentence=_say_signal(kind, one, effect, tests),
    )


def _say_signal(kind: SignalKind, one: ScreenedSignal, effect: SignalEffect, tests: int) -> str:
    low, high = effect.interval(COVERAGE)
    more, one_night, three = MORE[kind.name]
    said = f"{more} {one_night if one.nights == 1 else three}"
    over = f"over {effect.n_sessions:,} sessions"
    if not one.is_hit:
        return (
            f"{said[:1].upper()}{said[1:]} went with {say_change(effect.effect_pct, 2)} % strength "
            f"{say_interval(low, high, 2)} {over}; among {tests} tests chance alone shows as much."
        )
    side = "higher" if effect.effect_pct > 0 else "lower"
    return (
        f"With {said} strength stood {say_number(abs(effect.effect_pct), 2)} % {side} "
        f"{say_interval(low, high, 2)} {over}; it stands among {tests} tests. Stress that moves "
        f"both would look the same."
    )


def _find_family(record: Record, screen: tuple[ScreenedSignal, ...]) -> Finding:
    """How many of all that were tested stand, against what chance alone would show."""
    tested = [one for one in screen if isinstance(one.effect, SignalEffect)]
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "signal_effect",
        "subject": f"lifter:{record.lifter.lifter_id}",
        "unit": "signals",
        "method": METHOD,
    }
    if not tested:
        nearest = max(
            (one.effect for one in screen if isinstance(one.effect, Refusal)),
            key=lambda refusal: refusal.has / refusal.needs,
        )
        return find_refused(nearest, **common)
    standing = {one.name for one in tested if one.is_hit}
    names = {one.name for one in tested}
    sessions = max(one.effect.n_sessions for one in tested if isinstance(one.effect, SignalEffect))
    return find_answered(
        support_screen(sessions),
        **common,
        estimate=float(len(standing)),
        n=len(names),
        n_of=f"signals in {len(tested)} tests",
        sentence=(
            f"{_say_standing(len(standing), len(names))}. All {len(tested)} tests are counted "
            f"together: of 100 simulated records with nothing in them {FALSE_OF_100} would show "
            f"one, of 100 with hidden stress {STRESS_OF_100}."
        ),
    )


def _say_standing(standing: int, tested: int) -> str:
    if not standing:
        return f"No signal of {tested} stands"
    return f"{standing} of {tested} signals {'stands' if standing == 1 else 'stand'}"


def _row(one: ScreenedSignal, reserve: str) -> dict[str, Any] | None:
    """Row of ``model_signal``; None where it was refused."""
    effect = one.effect
    if isinstance(effect, Refusal):
        return None
    low, high = effect.interval(COVERAGE)
    return {
        "signal": one.name,
        "nights": one.nights,
        "reserve": reserve,
        "unit": KINDS[one.name].unit,
        "effect_pct": effect.effect_pct,
        "low": low,
        "high": high,
        "swing": effect.swing,
        "reliability": effect.reliability,
        "p_value": effect.p_value,
        "p_adjusted": one.p_adjusted if reserve == "recorded" else None,
        "is_standing": one.is_hit and reserve == "recorded",
        "sessions": effect.n_sessions,
        "months": effect.n_months,
    }


def _frame(record: Record, rows: list[dict[str, Any]]) -> pl.DataFrame:
    if not rows:
        return empty_frame("model_signal")
    lifter = pl.lit(record.lifter.lifter_id)
    frame = pl.DataFrame(rows, infer_schema_length=None).with_columns(lifter_id=lifter)
    return conform("model_signal", frame)
