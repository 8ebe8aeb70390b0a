"""``liftstrata export``: a proposal of the published run as a table to train by."""

from pathlib import Path

from rich.console import Console

from pipeline.cli.accept_plan import PREFIX, find_proposal, read_proposals
from pipeline.core.errors import SettingsError, one_line
from pipeline.core.home import Home
from pipeline.core.plan_weeks import say_plan
from pipeline.findings.plans import accept_proposal


def export_proposal(folder: Path, proposal: str, out: Path) -> None:
    """Write every week of one proposal as CSV, as ``accept`` would write it; nothing is accepted.

    ``proposal``: ``plan-<id>``, or "proposal" where the run made one for most progress only.

    Raises
    ------
    SettingsError
        when there is no such proposal, more than one, or ``out`` is there already.
    """
    tables = read_proposals(Home(folder.resolve()))
    made = tables["model_proposal"]
    if proposal == "proposal":
        first = made.filter((made["version"] == "progress") & made["weekly_sets"].is_not_null())
        ids = [f"{PREFIX}{one}" for one in first["proposal_id"]]
        if len(ids) != 1:
            listed = f": name one of {', '.join(ids)}" if ids else ""
            raise SettingsError(f"{len(ids)} proposals for progress in the published run{listed}")
        proposal = ids[0]
    accepted = accept_proposal(find_proposal(made, proposal), tables)
    if out.exists():
        raise SettingsError(f"{out}: is there already: name another file")
    out.write_text(say_plan(accepted.plan), "utf-8")
    Console(soft_wrap=True).print(
        one_line(f"{out}: {accepted.weeks} weeks of {proposal}, from {accepted.start}"),
        markup=False,
        highlight=False,
    )
