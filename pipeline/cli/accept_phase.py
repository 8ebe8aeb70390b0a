"""Accepting a proposed phase: it becomes an event of the journal, with evidence "accepted"."""

from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.cli.as_refreshed import check_as_refreshed
from pipeline.cli.written import Written
from pipeline.core.calendar import say_date
from pipeline.core.errors import SettingsError, nearest
from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.identity import event_id_of
from pipeline.findings.priorities.propose import PREFIX
from pipeline.store.publish import current_run
from pipeline.store.warehouse import read_tables
from pipeline.tidy.journal import read_journal
from pipeline.tidy.journal_edit import add_events

__all__ = ["PREFIX", "accept_phase"]


def accept_phase(home: Home, proposal: str) -> Written:
    """Accept ``phase-<id>`` of the published run.

    Raises
    ------
    SettingsError
        when nothing is published; for an id that is not there, with the nearest; when the journal
        has the event already, or has come to tell of a priority phase in the same weeks since the
        proposal was made; when the inbox or what the journal tells changed since the refresh; and
        when the journal cannot be read.
    """
    published = current_run(home)
    if published is None:
        raise SettingsError(f"{home.root}: nothing is published: run 'liftstrata refresh' on it")
    tables = read_tables(published / WAREHOUSE, ("tidy_proposal", "source_file", "tidy_event"))
    row = _find(tables["tidy_proposal"], proposal)
    journal = home.journal / f"{row['lifter_id']}.toml"
    if journal.exists():
        _check_not_told(journal, row)
    check_as_refreshed(home, proposal, row, tables["source_file"], tables["tidy_event"])
    event = _event_of(row)
    add_events(journal, row["lifter_id"], [event])
    shown = str(journal.relative_to(home.root))
    span = f"{say_date(row['start'])} to {say_date(row['end'])}"
    return Written(
        (
            f"{shown}: {row['kind']} from {span}, {', '.join(row['subject'].split())}",
            "the next refresh counts it as a phase",
        ),
        {
            "proposal": proposal,
            "lifter": row["lifter_id"],
            "journal": shown,
            "events": [event],
        },
    )


def _find(proposals: pl.DataFrame, wanted: str) -> dict[str, Any]:
    known = proposals["proposal_id"].to_list()
    if wanted not in known:
        hint = f"did you mean {nearest(wanted, known)}?" if known else "the last run proposed none"
        raise SettingsError(f"{wanted}: no such proposal in the published run: {hint}")
    return proposals.row(known.index(wanted), named=True)


def _check_not_told(journal: Path, row: dict[str, Any]) -> None:
    """The journal tells of no priority phase in the proposal's weeks."""
    shown, lifter_id = f"journal/{journal.name}", row["lifter_id"]
    told = read_journal(journal, lifter_id).filter(pl.col("kind") == row["kind"])
    event_id = event_id_of(lifter_id, row["kind"], row["start"], row["subject"])
    if event_id in told["event_id"]:
        raise SettingsError(f"{row['proposal_id']}: accepted before: {shown} tells of it")
    ends = pl.col("end").fill_null(date.max)
    same = told.filter((pl.col("start") <= row["end"]) & (ends >= row["start"]))
    if same.height:
        start = say_date(same["start"][0])
        raise SettingsError(
            f"{row['proposal_id']}: changed since it was proposed: {shown} tells of a "
            f"{row['kind']} phase from {start}: refresh, and see whether it is still proposed"
        )


def _event_of(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "kind": row["kind"],
        "start": row["start"],
        "end": row["end"],
        "subject": row["subject"].split(),
        "evidence": "accepted",
        "why": "found in the weekly sets",
    }
