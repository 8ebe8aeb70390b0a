"""One refresh under way: results made by Prefect's tasks, kept by their content and found again.

Imported only after the engine's environment is set (``run.py``): Prefect reads it on import.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from prefect import task
from prefect.cache_policies import INPUTS, TASK_SOURCE
from prefect.futures import PrefectFuture

from pipeline.flows.cache import is_complete, keep, name_run
from pipeline.flows.inputs import Inputs
from pipeline.flows.progress import Progress

READING_CODE = ("pipeline.core", "pipeline.reference", "pipeline.sources", "pipeline.tidy")
CHECKING_CODE = (*READING_CODE, "pipeline.checks")
ANSWERING_CODE = (*CHECKING_CODE, "pipeline.models", "pipeline.findings", "pipeline.store", "sql")
DRAWING_CODE = (*ANSWERING_CODE, "dashboards", "pipeline.flows")

Make = Callable[[Path], None]


@dataclass
class Run:
    """One refresh under way: its inputs, where results go, and which it used."""

    inputs: Inputs
    progress: Progress
    now: datetime

    def __post_init__(self) -> None:
        self.store = self.inputs.home.cache / "steps"
        self.used: set[Path] = set()
        self.news: dict[str, int] = {}

    def submit(self, step: str, subject: str, key: str, make: Make) -> PrefectFuture[str]:
        """Have Prefect make one result, or find it by its key; a lost result is made again."""
        folder = self.store / step / key
        self.used.add(folder)
        named = make_result.with_options(
            name=step, task_run_name=name_run(step, subject), refresh_cache=not is_complete(folder)
        )
        return named.submit(step, key, str(self.store), make)


def is_passing(_task: object, _run: object, state: Any) -> bool:
    """Retry only what may pass by itself: input and output of the system, never bad data."""
    try:
        state.result()
    except OSError:
        return True
    except Exception:
        return False
    return False


@task(
    cache_policy=(INPUTS + TASK_SOURCE) - "make",
    persist_result=True,
    result_serializer="json",
    retries=2,
    retry_delay_seconds=1,
    retry_condition_fn=is_passing,
)
def make_result(step: str, key: str, store: str, make: Make) -> str:
    """Make the result of one step in ``store/step/key`` unless it is complete there."""
    return str(keep(Path(store) / step / key, make))


def wait(future: PrefectFuture[str]) -> Path:
    return Path(future.result())
