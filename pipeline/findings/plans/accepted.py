"""What accepting a proposal writes: events, the plan by weeks, and what it is expected to bring."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl

from pipeline.core.calendar import DAYS_PER_YEAR, say_date
from pipeline.core.plan_weeks import plan_weeks
from pipeline.findings.build import MODEL_VERSION
from pipeline.findings.forecast import COVERAGE as COVERAGE_KEPT
from pipeline.findings.predictions.kept import PREDICTION, line_of
from pipeline.findings.predictions.make import DIGITS, LOG_DIGITS, read_sources
from pipeline.models.forecast.refit import refit_spread
from pipeline.models.weeks import normal_quantile

METHOD = "weekly sets of an accepted plan"
COVERAGE = 0.90  # of the intervals of a proposal
DAYS_PER_MONTH = DAYS_PER_YEAR / 12.0
# Roles of muscles by the kind of event that tells of them; "ease" is no event: fewer sets are seen.
ROLES = {"priority": ("build", "test"), "hold": ("hold",)}
PROPOSED = ("model_proposal", "model_proposal_muscle", "model_proposal_lift", "model_proposal_week")
READS = (*PROPOSED, "model_muscle_index", "ref_contribution", "source_file")


@dataclass(frozen=True)
class Accepted:
    """What is written: journal events, the plan's rows, lines for the file of predictions."""

    lifter_id: str
    start: date
    events: tuple[dict[str, Any], ...]
    plan: pl.DataFrame
    lines: tuple[dict[str, object], ...]

    @property
    def weeks(self) -> int:
        """Length of the plan."""
        return int(self.plan["week"].n_unique())


def accept_proposal(proposal: Mapping[str, Any], tables: Mapping[str, pl.DataFrame]) -> Accepted:
    """Everything that accepting one proposal means.

    Parameters
    ----------
    proposal : row of ``model_proposal`` that recommends something.
    tables : those of ``READS``.
    """
    whose, which = proposal["lifter_id"], proposal["proposal_id"]
    own = {
        name: frame.filter((pl.col("lifter_id") == whose) & (pl.col("proposal_id") == which))
        for name, frame in tables.items()
        if name in PROPOSED
    }
    muscles = own["model_proposal_muscle"]
    return Accepted(
        lifter_id=whose,
        start=proposal["start"],
        events=tuple(_events(proposal, muscles)),
        plan=plan_weeks(
            own["model_proposal_lift"],
            own["model_proposal_week"],
            muscles,
            tables["ref_contribution"],
        ),
        lines=tuple(_expect(proposal, muscles, tables)),
    )


def _events(proposal: Mapping[str, Any], muscles: pl.DataFrame) -> list[dict[str, Any]]:
    start = proposal["start"]
    end = start + timedelta(weeks=proposal["weeks"], days=-1)
    found = []
    for kind, roles in ROLES.items():
        subject = sorted(muscles.filter(pl.col("role").is_in(roles))["muscle_id"])
        if subject:
            found.append(
                {
                    "kind": kind,
                    "start": start,
                    "end": end,
                    "subject": subject,
                    "why": f"plan made from the record up to {say_date(proposal['made_from'])}",
                    "evidence": "accepted",
                }
            )
    return found


def _expect(
    proposal: Mapping[str, Any], muscles: pl.DataFrame, tables: Mapping[str, pl.DataFrame]
) -> list[dict[str, object]]:
    """One line a muscle that has an index: its change from the last level to the plan's last week.

    The interval holds the expectation's own and that of the level as it will be fitted.
    """
    whose, last_week = (
        proposal["lifter_id"],
        proposal["start"] + timedelta(weeks=proposal["weeks"] - 1),
    )
    source = read_sources(tables["source_file"])[whose]
    index = tables["model_muscle_index"].filter(pl.col("lifter_id") == whose)
    levels = index.sort("week_start").partition_by("muscle_id", as_dict=True)
    months = (last_week - proposal["start"]).days / DAYS_PER_MONTH
    lines = []
    for row in muscles.sort("muscle_id").iter_rows(named=True):
        level = levels.get((row["muscle_id"],))
        if level is None:
            continue
        from_date = level["week_start"][-1]
        own = months * (row["high"] - row["low"]) / (2.0 * normal_quantile(COVERAGE))
        years = (last_week - from_date).days / DAYS_PER_YEAR
        fitted = 100.0 * refit_spread(float(level["se"][-1]), years)
        reach = normal_quantile(COVERAGE_KEPT) * float(np.hypot(own, fitted))
        estimate = months * row["expected_pct_month"]
        line = {
            "predicted_on": proposal["made_from"],
            "lifter_id": whose,
            "question": "plan",
            "subject": f"muscle:{row['muscle_id']}",
            "weeks_ahead": -((proposal["made_from"] - last_week).days // 7),  # from its week
            "from_date": from_date,
            "to_date": last_week,
            "estimate": round(estimate, DIGITS),
            "low80": round(estimate - reach, DIGITS),
            "high80": round(estimate + reach, DIGITS),
            "unchanged": 0.0,
            "level_log": round(float(level["level_log"][-1]), LOG_DIGITS),
            "zero_on": level["week_start"][0],
            "unit": "%",
            "finding_id": row["finding_id"] or proposal["proposal_id"],
            "method": METHOD,
            "model_version": MODEL_VERSION,
            "source": source.checksum,
        }
        lines.append(line_of({name: line[name] for name in PREDICTION}))
    return lines
