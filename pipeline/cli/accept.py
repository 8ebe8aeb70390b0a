"""``liftstrata accept``: makes a proposal of the published run one's own."""

from datetime import date
from pathlib import Path

from pipeline.cli import accept_phase, accept_plan
from pipeline.cli.written import say_written
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.flows.lock import lock_home


def accept(folder: Path, proposal: str, today: date, *, as_json: bool = False) -> None:
    """Accept one proposal and print what was written, as one JSON object where asked.

    Parameters
    ----------
    today : the day that a plan is held against: one that is over cannot be followed.

    Raises
    ------
    SettingsError
        for an id of no known kind, and as the kind says.
    BusyError
        while a refresh of the folder is running.
    """
    home = Home(folder.resolve())
    kinds = (accept_plan.PREFIX, accept_phase.PREFIX)
    if not proposal.startswith(kinds):
        raise SettingsError(f"{proposal}: no proposal: its id begins with {' or '.join(kinds)}")
    with lock_home(home):
        if proposal.startswith(accept_plan.PREFIX):
            written = accept_plan.accept_plan(home, proposal, today)
        else:
            written = accept_phase.accept_phase(home, proposal)
    say_written(written, as_json=as_json)
