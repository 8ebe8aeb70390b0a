"""How often deloads came and how long they lasted, counted, beside the published survey.

Counts: nothing is inferred. The ends are one standard deviation either side of the mean, because
that is what the survey prints (Bell et al. 2023, read: 246 strength and physique athletes).
"""

from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.easing_rows import Facts, evidence_of, priors_of
from pipeline.findings.easing_weekly import long_layoffs
from pipeline.findings.say import say_number
from pipeline.findings.support import COUNTED

METHOD = "counted; low and high are one standard deviation either side, as in the survey"
LEAST = 2


def answer_pace(record: Record, facts: Facts) -> list[Finding]:
    """Findings ``deload_pace`` (weeks between two) and ``deload_length`` (days of one)."""
    events = record.events.filter(record.events["kind"] == "deload").sort("start", "event_id")
    spans = [
        (event["start"], record.last_day_of("deload", event["start"], event["end"]))
        for event in events.iter_rows(named=True)
    ]
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "subject": f"lifter:{record.lifter.lifter_id}",
        "method": METHOD,
        "evidence": evidence_of(events.iter_rows(named=True)),
    }
    between = {**common, "question": "deload_pace", "unit": "weeks"}
    length = {**common, "question": "deload_length", "unit": "days"}
    days = [float((last - first).days + 1) for first, last in spans]
    return [
        _find_mean(weeks_between(record, [first for first, _ in spans]), between, facts),
        _find_mean(days, length, facts),
    ]


def weeks_between(record: Record, starts: list[date]) -> list[float]:
    """Weeks from one deload to the next where neither a layoff nor an unlogged week lies between;
    a single week of rest does not part them."""
    unknown = record.unlogged & ~record.weeks_within("deload")
    away = np.flatnonzero(long_layoffs(record) | unknown)
    days = [record.week_start(week) for week in away]
    return [
        (after - before).days / 7.0
        for before, after in pairwise(starts)
        if not any(before <= day + timedelta(days=6) and day < after for day in days)
    ]


_WORDS = {
    "deload_pace": ("deload_every", "distances", "A deload came every {mean} weeks"),
    "deload_length": ("deload_days", "deloads", "A deload lasted {mean} days"),
}


def _find_mean(values: list[float], question: dict, facts: Facts) -> Finding:
    """The mean of what was counted, beside the survey's."""
    fact_id, counted, begins = _WORDS[question["question"]]
    if len(values) < LEAST:
        remedy = "nothing to do: they are counted as they come"
        return find_refused(Refusal(len(values), LEAST, counted, remedy), **question)
    mean, spread = float(np.mean(values)), float(np.std(values, ddof=1))
    low, high = max(mean - spread, 0.0), mean + spread
    fact = facts[fact_id]
    ends = " to ".join(say_number(fact[name]) for name in ("low", "high"))
    own = f"one standard deviation: {say_number(low)} to {say_number(high)}; " if spread else ""
    return find_answered(
        COUNTED,
        **question,
        **priors_of(facts, fact_id),
        estimate=mean,
        low=low,
        high=high,
        n=len(values),
        n_of=counted,
        sentence=(
            f"{begins.format(mean=say_number(mean))} ({own}{len(values)} {counted}); a survey of "
            f"strength and physique athletes says {say_number(fact['value'])} ({ends})."
        ),
    )
