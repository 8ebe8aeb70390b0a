"""One refreshed folder for the run, made on a pseudo-terminal with every connect watched."""

import shutil
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.flows.homes import ROOT, make_home, run_on_terminal
from tests.made_once import make_once

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
    """The folder is this process's own copy: tests refresh it again."""

    def make(folder: Path) -> None:
        log, hook = folder / "connects.txt", folder / "hook"
        hook.mkdir(parents=True)
        (hook / "sitecustomize.py").write_text(WATCH.format(log=str(log)), "utf-8")
        home = make_home(folder / "home", "sets", "nights")
        code, shown = run_on_terminal("refresh", home, PYTHONPATH=f"{hook}:{ROOT}")
        assert code == 0, shown
        (folder / "shown.txt").write_text(shown, "utf-8")

    made = make_once(tmp_path_factory, "watched", make)
    home = tmp_path_factory.mktemp("watched") / "home"
    # With their times: files that look changed would be read again.
    shutil.copytree(made / "home", home, symlinks=True)
    shown, connects = ((made / name).read_text("utf-8") for name in ("shown.txt", "connects.txt"))
    return Watched(home, shown, connects.splitlines())
