"""One refreshed folder for the session, made on a pseudo-terminal with every connect watched."""

from pathlib import Path
from typing import NamedTuple

import pytest

from tests.flows.homes import ROOT, make_home, run_on_terminal

# Loaded by every Python process of the run, the Prefect server's included.
WATCH = """
import sys

def watch(event, arguments):
    if event == "socket.connect":
        with open({log!r}, "a") as log:
            print(arguments[1], file=log)

sys.addaudithook(watch)
"""


class Watched(NamedTuple):
    """A refreshed folder, what the terminal showed, and every address that was connected to."""

    home: Path
    shown: str
    connects: list[str]


@pytest.fixture(scope="session")
def watched(tmp_path_factory) -> Watched:
    folder = tmp_path_factory.mktemp("watched")
    log = folder / "connects.txt"
    hook = folder / "hook"
    hook.mkdir()
    (hook / "sitecustomize.py").write_text(WATCH.format(log=str(log)), "utf-8")
    home = make_home(folder / "home", "sets", "nights")
    code, shown = run_on_terminal("refresh", home, PYTHONPATH=f"{hook}:{ROOT}")
    assert code == 0, shown
    return Watched(home, shown, log.read_text("utf-8").splitlines())
