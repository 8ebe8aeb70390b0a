"""One row a proposal: its size, what it expects beside last year and the published average."""

from collections.abc import Mapping

import numpy as np
import polars as pl

from pipeline.findings.next_phase.curves import published_sets
from pipeline.findings.next_phase.learn import Learning
from pipeline.findings.next_phase.problem import Situation
from pipeline.findings.next_phase.reasons import Known
from pipeline.findings.next_phase.tables import Proposal, Row, proposal_keys, start_of
from pipeline.findings.next_phase.words import say_conflict, say_learning, say_progress
from pipeline.models.arrays import Floats
from pipeline.models.narrowing.plans import WEEKS
from pipeline.models.planning.progress import draw_progress, interval_of

Names = Mapping[str, str]


def progress_row(
    situation: Situation, known: Known, proposal: Proposal, priors: pl.DataFrame, names: Names
) -> Row:
    """Row of ``model_proposal`` for most expected progress."""
    row = _row(situation, proposal, priors, names)
    return {**row, "said": say_progress(situation, known, row)}


def learning_row(situation: Situation, learnt: Learning, priors: pl.DataFrame, names: Names) -> Row:
    """Row of ``model_proposal`` for most to learn; without a week where nothing is recommended."""
    row = _base(situation, "learning", WEEKS)
    if learnt.proposal is not None:
        row = _row(situation, learnt.proposal, priors, names)
    return {
        **row,
        "narrows_muscle": learnt.muscle_id,
        "width_share": learnt.ratio,
        "said": say_learning(learnt, names[learnt.muscle_id]),
    }


def _base(situation: Situation, version: str, n_weeks: int) -> Row:
    return {
        **proposal_keys(situation, version),
        "version": version,
        "made_from": situation.record.last_day,
        "start": start_of(situation),
        "weeks": n_weeks,
        "is_feasible": True,
    }


def _row(situation: Situation, proposal: Proposal, priors: pl.DataFrame, names: Names) -> Row:
    week, lifts, limits = proposal.week, situation.problem.lifts, situation.problem.limits
    then = week.muscle_sets
    published = published_sets(priors, list(then), sum(then.values()))
    draws = _mean_progress(situation, then)
    low, high = interval_of(draws)
    minutes = np.array([one.minutes for one in lifts]) @ week.sets
    return {
        **_base(situation, proposal.version, proposal.n_weeks),
        "weekly_sets": int(week.sets.sum()),
        "sessions": int((week.sets.sum(axis=0) > 0).sum()),
        "minutes": float(minutes.max()),
        "limit_sets": limits.weekly_sets,
        "limit_sessions": limits.sessions,
        "limit_minutes": limits.minutes,
        "is_feasible": all(one.is_feasible for one in proposal.levels),
        "conflict": say_conflict(situation, week.given_up, names),
        "expected_pct": float(draws.mean()),
        "low": low,
        "high": high,
        "usual_pct": float(_mean_progress(situation, situation.last_year).mean()),
        "published_pct": float(_mean_progress(situation, published).mean()),
        "gap_share": week.gap,
    }


def _mean_progress(situation: Situation, sets: Mapping[str, float]) -> Floats:
    """(n_draws,) expected progress at these weekly sets, mean over the muscles, % a month."""
    muscles = situation.problem.muscles
    return np.mean([draw_progress(one, sets[one.muscle_id]) for one in muscles], axis=0)
