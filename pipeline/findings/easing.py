"""What followed deloads and layoffs, against matched ordinary weeks; never cause, association."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import SEGMENTED, Bools, Floats, Ints, Record, column
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_deloads, support_layoffs, support_regain
from pipeline.models.deload import DeloadResponse, fit_deload_response
from pipeline.models.layoff import (
    Layoff,
    LayoffOutcome,
    LayoffResponse,
    LossByLength,
    find_layoffs,
    fit_layoffs,
)
from pipeline.models.rep_curve import log_factor
from pipeline.models.weekly_strength import fit_weekly_strength
from pipeline.models.weeks import mask_after

METHOD = "regression over all weeks on the change before and the period, clustered errors"
LAYOFF_METHOD = "weekly strength on return against before"
COVERAGE = 0.95
MAX_RIR, MAX_TOTAL_REPS = 4.5, 12.0  # sets further from failure or longer say little


@dataclass(frozen=True)
class EasingAnswers:
    """Tables ``model_deload_path``, ``model_deload_event``, ``model_layoff`` and findings."""

    paths: pl.DataFrame
    events: pl.DataFrame
    layoffs: pl.DataFrame
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Weekly:
    """Weekly strength with its weights, and the deloads and layoffs by week."""

    strength: Floats
    weights: Floats
    deloads: dict[int, dict]
    layoffs: dict[int, tuple[Layoff, dict]]


def answer_easing(record: Record, rep_slopes: dict[str, float]) -> EasingAnswers:
    """Answer what followed deloads, what layoffs cost and how fast it came back."""
    weekly = read_weekly(record, rep_slopes)
    paths, events, deload_finding = _answer_deloads(record, weekly)
    layoffs, layoff_findings = _answer_layoffs(record, weekly)
    return EasingAnswers(paths, events, layoffs, (deload_finding, *layoff_findings))


def read_weekly(record: Record, rep_slopes: Mapping[str, float]) -> Weekly:
    """What both questions are asked of, and the checks of their answers too."""
    strength, weights = _weekly_strength(record, rep_slopes)
    return Weekly(strength, weights, _deload_weeks(record), _layoff_weeks(record))


def deload_arguments(record: Record, weekly: Weekly) -> tuple[Floats, Floats, Ints, Bools]:
    """Weekly strength, its weights, weeks of deloads and weeks left out, as the fit takes them."""
    weeks = np.array(sorted(weekly.deloads), dtype=np.int64)
    # All weeks of a deload are light by intention, also those that its main week is not.
    left_out = mask_after(record.weeks_within("layoff") | record.unlogged)
    left_out |= record.weeks_within("deload")
    return weekly.strength, weekly.weights, weeks, left_out


def layoff_arguments(record: Record, weekly: Weekly) -> tuple[Floats, Floats, tuple[Layoff, ...]]:
    """Weekly strength without deloads, its weights and the layoffs, as the fit takes them."""
    blanked = weekly.strength.copy()
    blanked[record.weeks_within("deload")] = np.nan
    return blanked, weekly.weights, tuple(layoff for layoff, _ in weekly.layoffs.values())


def _weekly_strength(record: Record, rep_slopes: Mapping[str, float]) -> tuple[Floats, Floats]:
    """Weekly strength from sets with recorded reserve: an assumed one would hide what we ask."""
    to_failure = pl.col("reps") + pl.col("rir")
    sets = record.strength_sets.filter(
        (pl.col("rir_source") == "recorded")
        & (pl.col("rir") <= MAX_RIR)
        & (to_failure <= MAX_TOTAL_REPS)
    )
    slope = np.array([rep_slopes.get(one, 1.0) for one in sets["exercise_id"]])
    total = column(sets, "reps") + column(sets, "rir")
    value = np.log(column(sets, "load_moved_kg")) + slope * log_factor(total)
    week = sets["week"].to_numpy()
    return fit_weekly_strength(week, number_lifts(record, sets), value, record.n_weeks)


def number_lifts(record: Record, sets: pl.DataFrame) -> np.ndarray:
    """A number for each lift; a machine or cable after a change of gym is a new lift."""
    segment = record.segment_of_week[sets["week"].to_numpy()]
    keys = [
        f"{one}@{part}" if record.equipment.get(one) in SEGMENTED else one
        for one, part in zip(sets["exercise_id"], segment, strict=True)
    ]
    return np.unique(keys, return_inverse=True)[1].astype(np.int64)


def _deload_weeks(record: Record) -> dict[int, dict]:
    """Deload events by their main week inside the record."""
    events = record.events.filter(pl.col("kind") == "deload").sort("start")
    by_week = {_main_week(record, event): event for event in events.iter_rows(named=True)}
    return {week: event for week, event in by_week.items() if 0 <= week < record.n_weeks}


def _main_week(record: Record, event: dict) -> int:
    """The week after which strength is read: the one that holds most of the event's last days."""
    last = record.last_day_of("deload", event["start"], event["end"])
    half = (last - event["start"]) // 2
    return record.week_of(last - min(half, timedelta(days=3)))


def _layoff_weeks(record: Record) -> dict[int, tuple[Layoff, dict]]:
    """Layoffs whose length is known, by their first week: two or more whole weeks off between
    trained ones. A single week off costs nothing that could be read."""
    events = record.events.filter(pl.col("kind") == "layoff").sort("start").rows(named=True)
    found = {}
    for layoff in find_layoffs(record.trained, record.unlogged):
        first = record.monday(layoff.start_week)
        last = record.monday(layoff.end_week) + timedelta(days=6)
        for event in events:
            end = record.last_day_of("layoff", event["start"], event["end"])
            if event["start"] <= last and end >= first:
                found[layoff.start_week] = (layoff, event)
                break
    return found


def _answer_deloads(record: Record, weekly: Weekly) -> tuple[pl.DataFrame, pl.DataFrame, Finding]:
    response = fit_deload_response(*deload_arguments(record, weekly))
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "question": "deload_effect",
        "subject": f"lifter:{record.lifter.lifter_id}",
        "unit": "%",
        "method": METHOD,
        "evidence": _evidence(weekly.deloads.values()),
    }
    if isinstance(response, Refusal):
        paths, events = empty_frame("model_deload_path"), empty_frame("model_deload_event")
        return paths, events, find_refused(response, **common)
    finding = _find_deload(response, common)
    return _path_frame(record, weekly, response), _event_frame(record, weekly, response), finding


def _find_deload(response: DeloadResponse, common: dict) -> Finding:
    low, high = response.interval(COVERAGE)
    side = "higher" if response.effect_pct > 0 else "lower"
    told = "" if low > 0 or high < 0 else " That may be either way."
    return find_answered(
        support_deloads(response.n, low > 0 or high < 0),
        **common,
        estimate=response.effect_pct,
        low=low,
        high=high,
        coverage=COVERAGE,
        n=response.n,
        n_of=f"deloads of {response.n_of}",
        sentence=(
            f"In the three weeks after a deload strength stood "
            f"{say_number(abs(response.effect_pct))} % {side} {say_interval(low, high)} than after "
            f"matched ordinary weeks; {response.n} of {response.n_of} deloads could be read.{told}"
        ),
    )


def _evidence(events) -> str:
    kinds = {event["evidence"] for event in events}
    return "told" if "told" in kinds else next(iter(sorted(kinds)), "none")


def _path_frame(record: Record, weekly: Weekly, response: DeloadResponse) -> pl.DataFrame:
    rows = []
    means = {"after_deloads": response.after_deloads, "ordinary_weeks": response.after_ordinary}
    for series, paths in means.items():
        for at, offset in enumerate(paths.offsets):
            values = (paths.mean[at], paths.low[at], paths.high[at])
            rows.append(_path_row(series, None, offset, *values, paths.n[at]))
    offsets = response.after_deloads.offsets
    for event, path in zip(response.events, response.event_paths, strict=True):
        event_id = weekly.deloads[event.week]["event_id"]
        rows += [
            _path_row("event", event_id, offset, value, np.nan, np.nan, 1)
            for offset, value in zip(offsets, path, strict=True)
        ]
    known = [row for row in rows if np.isfinite(row["value_pct"])]
    return _own("model_deload_path", record, known)


def _path_row(series, event_id, offset, value, low, high, n) -> dict:
    return {
        "series": series,
        "event_id": event_id,
        "week_offset": int(offset),
        "value_pct": float(value),
        "low_pct": float(low) if np.isfinite(low) else None,
        "high_pct": float(high) if np.isfinite(high) else None,
        "n": int(n),
    }


def _event_frame(record: Record, weekly: Weekly, response: DeloadResponse) -> pl.DataFrame:
    rows = [
        {
            "event_id": weekly.deloads[one.week]["event_id"],
            "start": weekly.deloads[one.week]["start"],
            "evidence": weekly.deloads[one.week]["evidence"],
            "effect_pct": one.estimate_pct,
            "low": one.low_pct,
            "high": one.high_pct,
        }
        for one in response.events
    ]
    return _own("model_deload_event", record, rows)


def _answer_layoffs(record: Record, weekly: Weekly) -> tuple[pl.DataFrame, list[Finding]]:
    response = fit_layoffs(*layoff_arguments(record, weekly))
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "subject": f"lifter:{record.lifter.lifter_id}",
        "method": LAYOFF_METHOD,
        "evidence": _evidence(event for _, event in weekly.layoffs.values()),
    }
    if isinstance(response, Refusal):
        return empty_frame("model_layoff"), [
            find_refused(response, **common, question="layoff_loss", unit="%"),
            find_refused(response, **common, question="layoff_regain", unit="weeks"),
        ]
    findings = [_find_loss(response, common), _find_regain(response, common)]
    return _layoff_frame(record, weekly, response), findings


def _find_loss(response: LayoffResponse, common: dict) -> Finding:
    by_length = response.by_length
    question = {**common, "question": "layoff_loss", "unit": "%"}
    if isinstance(by_length, Refusal):
        return find_refused(by_length, **question)
    return find_answered(
        support_layoffs(by_length.n, by_length.low > 0 or by_length.high < 0),
        **question,
        estimate=by_length.pct_per_week,
        low=by_length.low,
        high=by_length.high,
        coverage=COVERAGE,
        n=by_length.n,
        n_of=f"layoffs of {response.n_of}",
        sentence=_say_loss(by_length),
    )


def _say_loss(by_length: LossByLength) -> str:
    return (
        f"On return from time off strength stood {say_change(by_length.pct_per_week)} % "
        f"{say_interval(by_length.low, by_length.high)} for each week off, from "
        f"{by_length.n} layoffs of up to {by_length.longest_weeks} weeks."
    )


def _find_regain(response: LayoffResponse, common: dict) -> Finding:
    question = {**common, "question": "layoff_regain", "unit": "weeks"}
    seen = [one for one in response.outcomes if one.weeks_to_regain is not None]
    least = 3
    if len(seen) < least:
        remedy = "each is drawn by itself; a rule over layoffs needs more of them"
        refusal = Refusal(len(seen), least, "layoffs with a loss beyond the noise", remedy)
        return find_refused(refusal, **question)
    weeks = np.array([one.weeks_to_regain for one in seen])
    low, middle, high = float(weeks.min()), float(np.median(weeks)), float(weeks.max())
    if not np.isfinite(middle):
        of_what = f"of {weeks.size} layoffs whose return was seen to its end"
        remedy = "a middle needs more than half of them; train on after a layoff"
        back = int(np.isfinite(weeks).sum())
        return find_refused(Refusal(back, weeks.size // 2 + 1, of_what, remedy), **question)
    most = f"most {high:.0f}" if np.isfinite(high) else "one or more not within the weeks read"
    return find_answered(
        support_regain(weeks.size),
        **question,
        estimate=middle,
        low=low,
        high=high if np.isfinite(high) else None,
        # Sign test: so often do least and most of n layoffs hold the middle of all such layoffs.
        coverage=1.0 - 2.0 ** (1 - weeks.size),
        n=weeks.size,
        n_of="layoffs with a loss beyond the noise",
        sentence=(
            f"Nine tenths of a loss were back after {middle:.0f} weeks "
            f"(least {low:.0f}, {most}), from {weeks.size} layoffs."
        ),
    )


def _is_regained(one: LayoffOutcome) -> bool:
    return one.weeks_to_regain is not None and np.isfinite(one.weeks_to_regain)


def _layoff_frame(record: Record, weekly: Weekly, response: LayoffResponse) -> pl.DataFrame:
    rows = [
        {
            "event_id": weekly.layoffs[one.layoff.start_week][1]["event_id"],
            "start": weekly.layoffs[one.layoff.start_week][1]["start"],
            "weeks_off": float(one.layoff.weeks_off),
            "loss_pct": one.loss_pct,
            "low": one.low_pct,
            "high": one.high_pct,
            "weeks_to_regain": one.weeks_to_regain if _is_regained(one) else None,
        }
        for one in response.outcomes
    ]
    return _own("model_layoff", record, rows)


def _own(table: str, record: Record, rows: list[dict]) -> pl.DataFrame:
    """Rows of one table with the lifter's id."""
    if not rows:
        return empty_frame(table)
    lifter = pl.lit(record.lifter.lifter_id)
    return conform(
        table, pl.DataFrame(rows, infer_schema_length=None).with_columns(lifter_id=lifter)
    )
