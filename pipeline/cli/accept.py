"""``liftstrata accept``: makes a proposal of the published run one's own."""

from pathlib import Path

from rich.console import Console

from pipeline.cli import accept_phase, accept_plan
from pipeline.core.errors import SettingsError, one_line
from pipeline.core.home import Home
from pipeline.flows.lock import lock_home

# By the beginning of a proposal's id: what accepts it and gives the lines to print.
KINDS = {
    accept_plan.PREFIX: accept_plan.accept_plan,
    accept_phase.PREFIX: accept_phase.accept_phase,
}


def accept(folder: Path, proposal: str) -> None:
    """Accept one proposal and print what was written.

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
        lines = KINDS[kind](home, proposal)
    console = Console(soft_wrap=True)
    for line in lines:
        console.print(one_line(line), markup=False, highlight=False)
