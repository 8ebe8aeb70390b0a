"""``liftstrata accept``: makes a proposal of the published run one's own."""

from pathlib import Path

from pipeline.cli import accept_phase, accept_plan
from pipeline.cli.written import say_written
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.flows.lock import lock_home

# By the beginning of a proposal's id: what accepts it.
KINDS = {
    accept_plan.PREFIX: accept_plan.accept_plan,
    accept_phase.PREFIX: accept_phase.accept_phase,
}


def accept(folder: Path, proposal: str, *, as_json: bool = False) -> None:
    """Accept one proposal and print what was written, as one JSON object where asked.

    Raises
    ------
    SettingsError
        for an id of no known kind, and as the kind says.
    BusyError
        while a refresh of the folder is running.
    """
    home = Home(folder.resolve())
    kind = next((prefix for prefix in KINDS if proposal.startswith(prefix)), None)
    if kind is None:
        raise SettingsError(f"{proposal}: no proposal: its id begins with {' or '.join(KINDS)}")
    with lock_home(home):
        written = KINDS[kind](home, proposal)
    say_written(written, as_json=as_json)
