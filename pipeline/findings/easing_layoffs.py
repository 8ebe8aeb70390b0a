"""What time off cost on return, and how long it took to come back, beside what was published."""

from typing import Any

import numpy as np
import polars as pl

from pipeline.core.dictionary import empty_frame
from pipeline.core.errors import Refusal
from pipeline.core.finding import Finding
from pipeline.findings.arrays import Record
from pipeline.findings.build import find_answered, find_refused
from pipeline.findings.easing_rows import COVERAGE, Facts, evidence_of, own_rows, priors_of
from pipeline.findings.easing_weekly import Weekly, layoff_arguments
from pipeline.findings.say import say_change, say_interval, say_number
from pipeline.findings.support import support_layoffs, support_regain
from pipeline.models.pauses.layoff import LayoffResponse, fit_layoffs
from pipeline.models.pauses.layoff_regain import RegainByLength

METHOD = "weekly strength on return against before"
# The published change nearest to a loss on return, over this many weeks off; as its words say.
PUBLISHED_LOSS, PUBLISHED_WEEKS = "layoff_bench_3_weeks", 3.0
PUBLISHED_REGAIN = "regain_share"


def answer_layoffs(
    record: Record, weekly: Weekly, facts: Facts
) -> tuple[pl.DataFrame, list[Finding]]:
    """Table ``model_layoff`` and the findings ``layoff_loss`` and ``layoff_regain``."""
    response = fit_layoffs(*layoff_arguments(record, weekly))
    common: dict[str, Any] = {
        "lifter_id": record.lifter.lifter_id,
        "subject": f"lifter:{record.lifter.lifter_id}",
        "method": METHOD,
        "evidence": evidence_of(event for _, event in weekly.layoffs.values()),
    }
    if isinstance(response, Refusal):
        return empty_frame("model_layoff"), [
            find_refused(response, **common, question="layoff_loss", unit="%"),
            find_refused(response, **common, question="layoff_regain", unit="weeks"),
        ]
    findings = [_find_loss(response, common, facts), find_regain(response, common, facts)]
    return _layoff_frame(record, weekly, response), findings


def _find_loss(response: LayoffResponse, common: dict, facts: Facts) -> Finding:
    """Change on return for each week off; the published one is over its own weeks."""
    law = response.by_length
    question = {**common, "question": "layoff_loss", "unit": "%"}
    if isinstance(law, Refusal):
        return find_refused(law, **question)
    return find_answered(
        support_layoffs(law.n, law.low > 0 or law.high < 0),
        **question,
        **priors_of(facts, PUBLISHED_LOSS, 1.0 / PUBLISHED_WEEKS),
        estimate=law.pct_per_week,
        low=law.low,
        high=law.high,
        coverage=COVERAGE,
        n=law.n,
        n_of=f"layoffs of {response.n_of}",
        sentence=(
            f"On return from time off strength stood {say_change(law.pct_per_week)} % "
            f"{say_interval(law.low, law.high)} for each week off, from "
            f"{law.n} layoffs of up to {law.longest_weeks} weeks."
        ),
    )


def find_regain(response: LayoffResponse, common: dict, facts: Facts) -> Finding:
    """Weeks until nine tenths of a loss were back, for the middle one of the layoffs."""
    question = {**common, "question": "layoff_regain", "unit": "weeks"}
    rule = response.regain
    if isinstance(rule, Refusal):
        return find_refused(rule, **question)
    low, high = rule.low * rule.middle_weeks, rule.high * rule.middle_weeks
    return find_answered(
        support_regain(rule.n),
        **question,
        **priors_of(facts, PUBLISHED_REGAIN, rule.middle_weeks),
        estimate=rule.weeks_per_week * rule.middle_weeks,
        low=low,
        high=high if np.isfinite(high) else None,
        coverage=COVERAGE,
        n=rule.n,
        n_of="layoffs of four weeks or more with a loss on return",
        sentence=_say_regain(rule),
    )


def _say_regain(rule: RegainByLength) -> str:
    middle = rule.middle_weeks
    end = (
        f"to {say_number(rule.high * middle)}"
        if np.isfinite(rule.high)
        else "its upper end not within the weeks read"
    )
    return (
        f"After {middle:g} weeks off, the middle of {rule.n} layoffs, nine tenths of a loss were "
        f"back in {say_number(rule.weeks_per_week * middle)} weeks "
        f"({say_number(rule.low * middle)} {end})."
    )


def _layoff_frame(record: Record, weekly: Weekly, response: LayoffResponse) -> pl.DataFrame:
    rows = []
    for one in response.outcomes:
        event = weekly.layoffs[one.layoff.start_week][1]
        rows.append(
            {
                "event_id": event["event_id"],
                "start": event["start"],
                "weeks_off": float(one.layoff.weeks_off),
                "loss_pct": one.loss_pct,
                "low": one.low_pct,
                "high": one.high_pct,
                "weeks_to_regain": _seen(one.weeks_to_regain),
                "regain_low": _seen(one.regain_low),
                "regain_high": _seen(one.regain_high),
                "evidence": event["evidence"],
            }
        )
    return own_rows("model_layoff", record, rows)


def _seen(weeks: float | None) -> float | None:
    """None where there was nothing to come back from, or the end lies beyond the weeks read."""
    return weeks if weeks is not None and np.isfinite(weeks) else None
