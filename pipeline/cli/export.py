"""``liftstrata export``: a proposal of the published run as a table to train by."""

from pathlib import Path

from pipeline.cli.accept_plan import PREFIX, find_proposal, read_proposals
from pipeline.cli.written import Written, say_written
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.plan_weeks import say_plan
from pipeline.findings.plans import accept_proposal


def export_proposal(folder: Path, proposal: str, out: Path, *, as_json: bool = False) -> None:
    """Write every week of one proposal as CSV, as ``accept`` would write it; nothing is accepted.

    ``proposal``: ``plan-<id>``, or "proposal" where the run made one for most progress only.
    ``as_json``: say what was written as one JSON object.

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
    written = Written(
        (f"{out}: {accepted.weeks} weeks of {proposal}, from {accepted.start}",),
        {
            "proposal": proposal,
            "lifter": accepted.lifter_id,
            "start": accepted.start,
            "weeks": accepted.weeks,
            "file": out,
        },
    )
    say_written(written, as_json=as_json)
