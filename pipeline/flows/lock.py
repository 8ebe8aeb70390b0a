"""One refresh of a folder at a time."""

from collections.abc import Iterator
from contextlib import contextmanager

from filelock import FileLock, Timeout

from pipeline.core.errors import BusyError, SettingsError
from pipeline.core.home import Home


@contextmanager
def lock_home(home: Home) -> Iterator[None]:
    """Hold the folder's lock; entering again in the same process is allowed.

    Raises
    ------
    BusyError
        at once, when another process holds it.
    SettingsError
        when the folder cannot be written to.
    """
    lock = FileLock(home.lock, is_singleton=True, thread_local=False)
    try:
        home.cache.mkdir(parents=True, exist_ok=True)
        lock.acquire(timeout=0)
    except Timeout:
        remedy = "wait until it is done, its pages will be the newest"
        raise BusyError(f"{home.root}: another refresh is running: {remedy}") from None
    except OSError as error:
        remedy = "a refresh needs a folder .cache there, room, and the right to write"
        raise SettingsError(f"{home.cache}: {error.strerror}: {remedy}") from None
    try:
        yield
    finally:
        lock.release()
