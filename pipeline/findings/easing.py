"""What followed deloads, weeks of rest and layoffs, against matched ordinary weeks; never cause,
association."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.easing_layoffs import answer_layoffs
from pipeline.findings.easing_pace import answer_pace
from pipeline.findings.easing_rows import COVERAGE, evidence_of, index_facts, own_rows
from pipeline.findings.easing_weekly import (
    Weekly,
    deload_arguments,
    read_weekly,
    rest_arguments,
)
from pipeline.findings.say import say_interval, say_number
from pipeline.findings.support import support_deloads, support_rests
from pipeline.models.arrays import Floats
from pipeline.models.pauses.deload import DeloadResponse, fit_deload_response
from pipeline.models.pauses.deload_paths import Paths
from pipeline.models.pauses.impulse_response import outline_deload

METHOD = "regression over all weeks on the change before and the period, clustered errors"


@dataclass(frozen=True)
class EasingAnswers:
    """Tables ``model_deload_path``, ``model_deload_event``, ``model_layoff`` and findings."""

    paths: pl.DataFrame
    events: pl.DataFrame
    layoffs: pl.DataFrame
    findings: tuple[Finding, ...]


def answer_easing(
    record: Record, rep_slopes: Mapping[str, float], facts: pl.DataFrame
) -> EasingAnswers:
    """Answer what followed deloads and weeks of rest, how often deloads came, what layoffs cost
    and how fast it came back; ``facts`` is table ``ref_fact``."""
    weekly, published = read_weekly(record, rep_slopes), index_facts(facts)
    paths, events, deload_finding = _answer_deloads(record, weekly)
    layoffs, layoff_findings = answer_layoffs(record, weekly, published)
    findings = (
        deload_finding,
        _answer_rests(record, weekly),
        *answer_pace(record, published),
        *layoff_findings,
    )
    return EasingAnswers(paths, events, layoffs, findings)


def _answer_deloads(record: Record, weekly: Weekly) -> tuple[pl.DataFrame, pl.DataFrame, Finding]:
    response = fit_deload_response(*deload_arguments(record, weekly))
    common = {
        **_common(record, "deload_effect"),
        "evidence": evidence_of(weekly.deloads.values()),
    }
    if isinstance(response, Refusal):
        paths, events = empty_frame("model_deload_path"), empty_frame("model_deload_event")
        return paths, events, find_refused(response, **common)
    known = [weekly.deloads[one.week]["evidence"] for one in response.events]
    told = sum(one != "rule" for one in known)
    low, high = response.interval(COVERAGE)
    finding = find_answered(
        support_deloads(response.n, low > 0 or high < 0),
        **common,
        **_effect_fields(response),
        n_of=f"deloads of {response.n_of}",
        sentence=_say_effect(
            response,
            "a deload",
            f"{response.n} of {response.n_of} deloads could be read, "
            f"{_say_known(told, response.n)}.",
        ),
    )
    return _path_frame(record, weekly, response), _event_frame(record, weekly, response), finding


def _answer_rests(record: Record, weekly: Weekly) -> Finding:
    """The same question of single weeks without any training."""
    response = fit_deload_response(*rest_arguments(record, weekly))
    common = _common(record, "rest_effect")
    if isinstance(response, Refusal):
        of_what = "weeks of complete rest with recorded reps in reserve in the weeks around them"
        remedy = "none is advised: it can be told once enough of them are in the record"
        return find_refused(replace(response, of_what=of_what, remedy=remedy), **common)
    return find_answered(
        support_rests(response.n),
        **common,
        **_effect_fields(response),
        n_of=f"weeks of rest of {response.n_of}",
        sentence=_say_effect(
            response,
            "a week without any training",
            f"{response.n} of {response.n_of} such weeks could be read.",
        ),
    )


def _say_known(told: int, n: int) -> str:
    """How the deloads are known."""
    if told in (0, n):
        return "all in the journal" if told else "all found by rule"
    return f"{told} of them in the journal and {n - told} found by rule"


def _common(record: Record, question: str) -> dict[str, Any]:
    return {
        "lifter_id": record.lifter.lifter_id,
        "question": question,
        "subject": f"lifter:{record.lifter.lifter_id}",
        "unit": "%",
        "method": METHOD,
    }


def _effect_fields(response: DeloadResponse) -> dict[str, Any]:
    low, high = response.interval(COVERAGE)
    fields = {"estimate": response.effect_pct, "low": low, "high": high}
    return {**fields, "coverage": COVERAGE, "n": response.n}


def _say_effect(response: DeloadResponse, after: str, counted: str) -> str:
    low, high = response.interval(COVERAGE)
    side = "higher" if response.effect_pct > 0 else "lower"
    told = "" if low > 0 or high < 0 else " That may be either way."
    return (
        f"In the three weeks after {after} strength stood "
        f"{say_number(abs(response.effect_pct))} % {side} {say_interval(low, high)} than after "
        f"matched ordinary weeks; {counted}{told}"
    )


def _path_frame(record: Record, weekly: Weekly, response: DeloadResponse) -> pl.DataFrame:
    rows = []
    means = {"after_deloads": response.after_deloads, "ordinary_weeks": response.after_ordinary}
    for series, paths in means.items():
        for at, offset in enumerate(paths.offsets):
            values = (paths.mean[at], paths.low[at], paths.high[at])
            rows.append(_path_row(series, None, offset, *values, paths.n[at]))
    offsets = response.after_deloads.offsets
    outline = _outline(record, weekly, response.after_deloads)
    rows += [
        _path_row("textbook", None, offset, value, np.nan, np.nan, 0)
        for offset, value in zip(offsets, outline, strict=True)
    ]
    for event, path in zip(response.events, response.event_paths, strict=True):
        event_id = weekly.deloads[event.week]["event_id"]
        rows += [
            _path_row("event", event_id, offset, value, np.nan, np.nan, 1)
            for offset, value in zip(offsets, path, strict=True)
        ]
    known = [row for row in rows if np.isfinite(row["value_pct"])]
    return own_rows("model_deload_path", record, known)


def _outline(record: Record, weekly: Weekly, course: Paths) -> Floats:
    """What textbook constants would draw after deloads as long as the middle one of these: an
    outline, as high as the lifter's own mean course goes, since its height says nothing."""
    days = [
        (record.last_day_of("deload", one["start"], one["end"]) - one["start"]).days + 1
        for one in weekly.deloads.values()
    ]
    after = course.mean[(course.offsets > 0) & np.isfinite(course.mean)]
    height = float(np.max(np.abs(after))) if after.size else np.nan
    return height * outline_deload(round(float(np.median(days))), course.offsets)


def _path_row(
    series: str, event_id: str | None, offset: int, value: float, low: float, high: float, n: int
) -> dict:
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
    return own_rows("model_deload_event", record, rows)
