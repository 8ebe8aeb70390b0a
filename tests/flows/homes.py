"""Real folders for the flow tests: the two-year fixture lifter, and runs of the real command."""

import json
import os
import pty
import shutil
import subprocess
import sys
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import tables
from pipeline.store.warehouse import read_tables

ROOT = Path(__file__).parents[2]
FIXTURES = ROOT / "fixtures"
SETTINGS = """
schema = 1
[lifter.hazel]
name = "Hazel (invented)"
training_began = 2018-01-01
"""


def make_home(folder: Path, *layouts: str) -> Path:
    """A folder with the invented lifter's files of these fixture layouts."""
    for layout in layouts:
        for part in ("inbox", "maps"):
            shutil.copytree(FIXTURES / layout / part, folder / part, dirs_exist_ok=True)
    (folder / "inbox" / "hazel").mkdir(parents=True, exist_ok=True)
    (folder / "maps").mkdir(exist_ok=True)
    (folder / "settings.toml").write_text(SETTINGS, "utf-8")
    return folder


def command(*words: str | Path) -> list[str]:
    """The command line as a new process runs it."""
    return [sys.executable, "-m", "pipeline.cli", *map(str, words)]


def environment(**more: str) -> dict[str, str]:
    """The machine's environment without what marks a build server: it hides telemetry."""
    kept = {name: value for name, value in os.environ.items() if name not in ("CI", "PREFECT_HOME")}
    return kept | {"PYTHONPATH": str(ROOT)} | more


def run(*words: str | Path, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the command to its end."""
    return subprocess.run(
        command(*words), env=environment(**more), capture_output=True, text=True, timeout=900
    )


def run_on_terminal(*words: str | Path, **more: str) -> tuple[int, str]:
    """Run the command on a pseudo-terminal: exit code and what it showed."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        command(*words), env=environment(**more), stdin=theirs, stdout=theirs, stderr=theirs
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # the other end is closed
            break
        if not part:
            break
        shown += part
    os.close(ours)
    return process.wait(timeout=60), shown.decode("utf-8", "replace")


def refresh(home: Path) -> dict:
    """Refresh and return the run's report; fails the test when the command does."""
    done = run("refresh", home, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def tables_of(home: Path) -> dict[str, pl.DataFrame]:
    """Every table of the current warehouse."""
    return read_tables(home / "current" / "warehouse.duckdb", tables())


def pages_of(home: Path) -> dict[str, bytes]:
    """Every page of the current run by its path."""
    root = home / "current" / "pages"
    return {str(path.relative_to(root)): path.read_bytes() for path in root.rglob("*.html")}
