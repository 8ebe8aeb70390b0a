"""Accepting the proposal for a next phase: events, expectation and plan.

The plan's file takes its place last: while it is not there nothing counts as accepted, and the
command can be given again (a journal that already has the events refuses them by name).
"""

import os
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import polars as pl

from pipeline.cli.as_refreshed import check_as_refreshed
from pipeline.cli.written import Written
from pipeline.core.calendar import say_date
from pipeline.core.errors import SettingsError, nearest
from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.plan_weeks import say_plan
from pipeline.findings.plans import Accepted, accept_proposal
from pipeline.findings.plans.accepted import READS
from pipeline.store.predictions import append_predictions
from pipeline.store.publish import current_run
from pipeline.store.warehouse import read_tables
from pipeline.tidy.journal_edit import add_events

PREFIX = "plan-"


def accept_plan(home: Home, proposal: str, today: date) -> Written:
    """Accept ``plan-<id>`` of the published run.

    Raises
    ------
    SettingsError
        when nothing is published, for an id that is not there (with the nearest), a proposal that
        recommends nothing, a plan of that start that was accepted before, an inbox or journal
        that changed since the refresh, a plan whose last day is before ``today``, and a journal
        that cannot take the events.
    """
    tables = read_proposals(home)
    row = find_proposal(tables["model_proposal"], proposal)
    path = home.plans / row["lifter_id"] / f"{row['start']}.csv"
    shown = path.relative_to(home.root)
    if path.exists():
        raise SettingsError(f"{shown}: a plan of that start is accepted: remove the file first")
    check_as_refreshed(home, proposal, row, tables["source_file"], tables["tidy_event"])
    _check_not_over(proposal, row, today)
    accepted = accept_proposal(row, tables)
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f".{path.name}")
    fresh.write_text(say_plan(accepted.plan), "utf-8")
    journal = home.journal / f"{accepted.lifter_id}.toml"
    try:
        add_events(journal, accepted.lifter_id, accepted.events)
    except BaseException:
        fresh.unlink()
        raise
    append_predictions(home, accepted.lines)
    os.replace(fresh, path)
    return _written(accepted, proposal, today, str(shown), str(journal.relative_to(home.root)))


def read_proposals(home: Home) -> dict[str, pl.DataFrame]:
    """The tables of the published run that hold proposals and what accepting them needs.

    Raises
    ------
    SettingsError
        when nothing was published yet.
    """
    published = current_run(home)
    if published is None:
        raise SettingsError(f"{home.root}: nothing is published: run 'liftstrata refresh' on it")
    return read_tables(published / WAREHOUSE, (*READS, "tidy_event"))


def find_proposal(proposals: pl.DataFrame, wanted: str) -> dict[str, Any]:
    """The row of ``model_proposal`` that ``plan-<id>`` names.

    Raises
    ------
    SettingsError
        for an id that is not there, and for a proposal that recommends nothing.
    """
    known = [f"{PREFIX}{one}" for one in proposals["proposal_id"]]
    if wanted not in known:
        hint = f"did you mean {nearest(wanted, known)}?" if known else "the last run proposed none"
        raise SettingsError(f"{wanted}: no such proposal in the published run: {hint}")
    row = proposals.row(known.index(wanted), named=True)
    if row["weekly_sets"] is None:
        raise SettingsError(f"{wanted}: it recommends nothing: {row['conflict'] or row['said']}")
    return row


def _check_not_over(proposal: str, row: Mapping[str, Any], today: date) -> None:
    """A refresh alone proposes the same weeks again: it plans on from the record's last day."""
    end = row["start"] + timedelta(weeks=row["weeks"], days=-1)
    if end < today:
        raise SettingsError(
            f"{proposal}: its last week ended on {say_date(end)}, today is {say_date(today)}: "
            f"the record it plans on from ends on {say_date(row['made_from'])}: add what was "
            "trained since to the inbox, run 'liftstrata refresh', and accept what it proposes then"
        )


def _written(accepted: Accepted, proposal: str, today: date, plan: str, journal: str) -> Written:
    events = " and ".join(event["kind"] for event in accepted.events) or "no event"
    week = max(0, (today - accepted.start).days // 7 + 1)  # that today is in; 0 before the first
    begun = (
        f"it began on {say_date(accepted.start)}: today is in week {week} of {accepted.weeks}, and "
        "what was trained since its first day is held against it too",
    )
    return Written(
        (
            f"{plan}: {accepted.weeks} weeks from {accepted.start}, yours to change",
            f"{journal}: {events}",
            f"predictions.jsonl: what the plan is expected to bring, {len(accepted.lines)} muscles",
            "the next refresh holds the plan against your record",
            *(begun if accepted.start < today else ()),
        ),
        {
            "proposal": proposal,
            "lifter": accepted.lifter_id,
            "start": accepted.start,
            "weeks": accepted.weeks,
            "week_of_today": week,
            "plan": plan,
            "journal": journal,
            "events": accepted.events,
            "predictions": len(accepted.lines),
        },
    )
