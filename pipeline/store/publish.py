"""Publishing: a finished run becomes the current one in one step, or not at all.

A run is built under another name, made durable, renamed to ``published/<run_id>/`` and only then
does the link ``current`` turn to it, by one atomic rename. Who has an older run's files open
keeps reading them, also after that run was pruned.
"""

import os
import shutil
from pathlib import Path

from pipeline.core.errors import EngineError, LiftstrataError
from pipeline.core.home import Home

RUNS_KEPT = 3


def publish(home: Home, build_dir: Path, run_id: str) -> Path:
    """Make ``build_dir`` the current run and return its new place.

    Parameters
    ----------
    home : the lifter's folder.
    build_dir : folder with the finished run, on the same file system as ``home``; it is moved.
    run_id : name of the run, a plain folder name not used before.

    Raises
    ------
    LiftstrataError
        when a run of that name is there already, or ``current`` is a folder.
    EngineError
        when a database in ``build_dir`` was not closed, or the folder cannot be moved.
    """
    target = home.published / run_id
    if target.exists():
        raise LiftstrataError(f"published/{run_id} exists: remove it or give the run another name")
    if home.current.is_dir() and not home.current.is_symlink():
        remedy = "it has to be a link to the newest run: move it away and refresh again"
        raise LiftstrataError(f"{home.current}: a folder: {remedy}")
    _refuse_open_databases(build_dir)
    try:
        home.published.mkdir(parents=True, exist_ok=True)
        _sync_tree(build_dir)
        os.utime(build_dir)
        os.replace(build_dir, target)
        _sync(home.published)
        _turn_link(home, target)
    except OSError as error:
        remedy = "the last complete run still stands: make room and refresh again"
        raise EngineError(f"published/{run_id}: {error.strerror}: {remedy}") from error
    prune(home)
    return target


def current_run(home: Home) -> Path | None:
    """Folder of the newest complete run; None before the first one."""
    return home.current.resolve() if home.current.exists() else None


def prune(home: Home, kept: int = RUNS_KEPT) -> tuple[str, ...]:
    """Remove all but the ``kept`` newest runs, never the current one; names of those removed."""
    runs = [run for run in home.published.iterdir() if run.is_dir()]
    newest_first = sorted(runs, key=lambda run: (run.stat().st_mtime_ns, run.name), reverse=True)
    current = current_run(home)
    gone = [run for run in newest_first[kept:] if run.resolve() != current]
    for run in gone:
        shutil.rmtree(run)
    return tuple(run.name for run in gone)


def _refuse_open_databases(build_dir: Path) -> None:
    """A write-ahead log beside a database means that a writer did not finish."""
    logs = sorted(build_dir.rglob("*.wal"))
    if logs:
        raise EngineError(
            f"{logs[0].name}: the database beside it was not closed: refresh again to build it anew"
        )


def _turn_link(home: Home, target: Path) -> None:
    """Point ``current`` at ``target``: a new link beside it takes its place in one rename."""
    fresh = home.root / f".current.{os.getpid()}"
    fresh.unlink(missing_ok=True)
    fresh.symlink_to(target.relative_to(home.root), target_is_directory=True)
    os.replace(fresh, home.current)
    _sync(home.root)


def _sync_tree(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        _sync(path)
    _sync(folder)


def _sync(path: Path) -> None:
    """Have the system write a file, or a folder's list of names, to the disk itself."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
