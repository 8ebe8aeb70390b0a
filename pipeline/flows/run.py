"""One refresh from the command line or from Python: the lock, the engine, then the flow."""

import contextlib
import traceback
from datetime import datetime
from pathlib import Path
from typing import Any

from pipeline.core.errors import EngineError, LiftstrataError, SettingsError
from pipeline.core.home import Home
from pipeline.flows.engine import Server, set_environment
from pipeline.flows.lock import lock_home
from pipeline.store.runs import append_run

LAST_ERROR = "last_error.txt"  # of the last run, in full, where it ended in a fault of ours


def refresh_home(root: Path, flow_name: str = "refresh") -> dict[str, Any]:
    """Refresh one folder and return its line in the history of runs.

    Parameters
    ----------
    root : the lifter's folder.
    flow_name : "refresh" or "nightly".

    Raises
    ------
    SettingsError
        when the folder or one of the user's own files cannot be used.
    BusyError
        when another refresh of the folder is running.
    """
    home = Home(root.resolve())
    if not home.settings.exists():
        raise SettingsError(
            f"{root}: no settings.toml in it: make it with 'liftstrata init {root}'"
        )
    began = datetime.now().replace(microsecond=0)
    with lock_home(home):
        try:
            set_environment(home.cache / "prefect")
            server = Server()
            told = _run_flow(flow_name, server, str(home.root), began.isoformat())
            (home.cache / LAST_ERROR).unlink(missing_ok=True)
            return told
        except LiftstrataError as error:
            _note_failure(home, began, str(error))
            raise
        except Exception as error:
            raise _unexpected(home, began, error) from error


def _unexpected(home: Home, began: datetime, error: Exception) -> EngineError:
    """A fault of ours: one line for the person, all of it for whoever mends it."""
    detail = home.cache / LAST_ERROR
    told = f"{type(error).__name__}: {error}".splitlines()[0]
    where = f"what happened is in {detail.relative_to(home.root)}"
    try:
        detail.write_text("".join(traceback.format_exception(error)), "utf-8")
    except OSError as fault:
        where = f"what happened could not be written: {fault.strerror}"
    _note_failure(home, began, told)
    return EngineError(f"{told}: the last pages still stand; {where}")


def _note_failure(home: Home, began: datetime, told: str) -> None:
    """A line in the history of runs, unless the very fault is that nothing can be written."""
    with contextlib.suppress(OSError):
        append_run(home, {"began": began.isoformat(), "error": told})


def _run_flow(name: str, server: Server, *arguments: str) -> dict[str, Any]:
    """Import Prefect while the server starts, then run the flow against it.

    Prefect's heartbeat is switched off: it ends each flow with a second of waiting.
    """
    from prefect.settings import (
        PREFECT_API_URL,
        PREFECT_FLOWS_HEARTBEAT_FREQUENCY,
        temporary_settings,
    )

    from pipeline.flows import refresh

    address = server.connect()
    settings = {PREFECT_FLOWS_HEARTBEAT_FREQUENCY: None}
    with temporary_settings(settings | {PREFECT_API_URL: address}):
        return getattr(refresh, name)(*arguments)
