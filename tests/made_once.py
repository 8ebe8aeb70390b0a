"""A folder that all processes of a test run share."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from filelock import FileLock


def make_once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """The folder ``name`` of this run, filled by ``make`` in whichever process asks first."""
    root = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        root = root.parent
    folder = root / name
    with FileLock(root / f"{name}.lock"):
        if not folder.exists():
            made = root / f"{name}_made"
            make(made)
            made.rename(folder)
    return folder
