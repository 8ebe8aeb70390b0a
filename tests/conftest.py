"""Settings of the test run that must stand before numpy is imported."""

import os

# The models solve many small systems: on shared cores more than one thread makes them slower.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest

# After the setting above, since its extras may import numpy.
from hypothesis import settings

# No timed assertions: a busy machine is no defect. Where hanging is the question the test says so.
settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")

# Fixtures of the session that take many seconds and that several files share.
SHARED = ("watched", "decade", "two_years")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the tests that share a costly fixture in one process: it is made once."""
    for item in items:
        shared = (name for name in SHARED if name in item.fixturenames)  # type: ignore[attr-defined]
        group = next(shared, item.nodeid.partition("::")[0])
        item.add_marker(pytest.mark.xdist_group(group))
