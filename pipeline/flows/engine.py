"""The Prefect engine of one run: its environment, set before the import, and its own server.

A plain one-shot flow makes Prefect import its whole server, start it, and import it again. One
child process on a free loopback port, started while the inputs are read, is about twice as fast.
Nothing here imports Prefect, and nothing leaves the machine: both telemetry channels are shut, and
a server address that is not on the loopback is refused.
"""

import atexit
import contextlib
import os
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from urllib.parse import urlsplit

from pipeline.core.errors import EngineError, SettingsError

LOOPBACK = ("127.0.0.1", "localhost", "::1")
# Long, for a machine under load; a server that has died is noticed at once.
HEALTH_LIMIT_S = 180.0
# The server's input is a pipe that only this run holds open: it ends with the run, however that
# ends, also when it is killed and cannot stop anything.
SERVE = """
import os, sys, threading

def end_with_run():
    sys.stdin.buffer.read()
    os._exit(0)

threading.Thread(target=end_with_run, daemon=True).start()
from uvicorn.main import main
main()
"""


def set_environment(home: Path) -> None:
    """Force Prefect's settings; must run before anything imports Prefect.

    Raises
    ------
    SettingsError
        when ``PREFECT_API_URL`` points away from this machine.
    """
    if "prefect" in sys.modules and os.environ.get("PREFECT_HOME") != str(home):
        # Prefect reads its home once; a second folder in one process keeps the first one's home.
        home = Path(os.environ.get("PREFECT_HOME", home))
    home.mkdir(parents=True, exist_ok=True)
    os.environ |= {
        "PREFECT_HOME": str(home),
        "PREFECT_SERVER_ANALYTICS_ENABLED": "false",
        "DO_NOT_TRACK": "1",
        # A failure is told once, in one line of our own, not again as a traceback.
        "PREFECT_LOGGING_LEVEL": "CRITICAL",
        "PREFECT_LOGGING_SERVER_LEVEL": "ERROR",
        "PREFECT_LOGGING_TO_API_ENABLED": "false",
        "PREFECT_SERVER_EPHEMERAL_STARTUP_TIMEOUT_SECONDS": "180",
    }
    # Small matrices, two lifters at once: one thread each is several times faster than many.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    address = os.environ.get("PREFECT_API_URL")
    if address and urlsplit(address).hostname not in LOOPBACK:
        raise SettingsError(
            f"PREFECT_API_URL = {address}: only a server on this machine is used: unset it"
        )


class Server:
    """A Prefect server of this run's own, stopped when Python ends.

    Task states reach the server late, so it must outlive the flow: the stop is registered before
    Prefect registers its own exit work, and therefore runs after it.
    """

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._url = os.environ.get("PREFECT_API_URL")
        if not self._url:
            self._start()
            atexit.register(self._stop)

    def _start(self) -> None:
        port = _free_port()
        self._url = f"http://127.0.0.1:{port}/api"
        serve = ["-c", SERVE, "--factory", "prefect.server.api.server:create_app"]
        where = ["--host", "127.0.0.1", "--port", str(port), "--log-level", "critical"]
        self._process = subprocess.Popen(
            [sys.executable, *serve, *where],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    def connect(self) -> str:
        """Address of the server once it answers.

        A server that has ended is started once more with a new database of runs: a power cut may
        have damaged the old one, and no result lies in it.

        Raises
        ------
        EngineError
            when it does not come up.
        """
        if self._process is None or self._is_up():
            return str(self._url)
        home = Path(os.environ["PREFECT_HOME"])
        if self._process.poll() is not None:
            for path in home.glob("prefect.db*"):
                path.unlink(missing_ok=True)
            self._start()
            if self._is_up():
                return str(self._url)
        self._stop()
        remedy = "make room on the disk, delete that folder and refresh again"
        raise EngineError(f"{home}: the server of this run did not start there: {remedy}")

    def _is_up(self) -> bool:
        return self._process is not None and _answers(f"{self._url}/health", self._process)

    def _stop(self) -> None:
        if self._process is None:
            return
        self._process.terminate()
        try:
            self._process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _answers(url: str, process: subprocess.Popen[bytes]) -> bool:
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    deadline = time.monotonic() + HEALTH_LIMIT_S
    while time.monotonic() < deadline and process.poll() is None:
        with contextlib.suppress(OSError), opener.open(url, timeout=1):
            return True
        time.sleep(0.05)
    return False
