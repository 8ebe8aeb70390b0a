"""The nightly refresh: a system timer's unit files, and a served deployment shown once."""

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.flows.engine import set_environment
from pipeline.flows.schedule import write_units
from pipeline.store.runs import read_runs
from tests.flows.homes import ROOT, environment, make_home, run

# A person who runs a Prefect server serves the same flow there; here the server is the run's own.
SERVED = """
import asyncio
import os
import sys
from pathlib import Path

from pipeline.flows.engine import Server, set_environment

home = Path(sys.argv[1])
set_environment(home / ".cache" / "prefect")
os.environ["PREFECT_API_URL"] = Server().connect()

from prefect.deployments import run_deployment
from prefect.runner import Runner

from pipeline.flows.refresh import nightly

deployment = nightly.to_deployment(
    name="night", cron="10 3 * * *", parameters={"home": str(home)}
)

async def once():
    runner = Runner(name="night", query_seconds=1)
    await runner.aadd_deployment(deployment)
    task = asyncio.create_task(runner.start())
    found = await run_deployment("nightly/night", timeout=800, poll_interval=1)
    await runner.stop()
    task.cancel()
    return found.state.name

print("state:", asyncio.run(once()))
"""


def test_the_unit_files_pass_the_systems_own_check(tmp_path):
    home = make_home(tmp_path / "a home with spaces & 100%")
    done = run("schedule", home, "--at", "3:05", "--units", tmp_path / "units")
    assert done.returncode == 0, done.stderr
    service = (tmp_path / "units" / "liftstrata-nightly.service").read_text("utf-8")
    timer = (tmp_path / "units" / "liftstrata-nightly.timer").read_text("utf-8")
    assert "OnCalendar=*-*-* 03:05:00" in timer
    assert "PrivateNetwork=yes" in service
    assert "100%%" in service
    if shutil.which("systemd-analyze"):
        paths = [str(tmp_path / "units" / f"liftstrata-nightly.{k}") for k in ("service", "timer")]
        checked = subprocess.run(
            ["systemd-analyze", "verify", *paths], capture_output=True, text=True, timeout=60
        )
        ours = [line for line in checked.stderr.splitlines() if "liftstrata" in line]
        assert (checked.returncode, ours) == (0, []), checked.stderr


@pytest.mark.parametrize("at", ["25:00", "3", "noon", "03:61", ""])
def test_an_impossible_time_is_refused(tmp_path, at):
    with pytest.raises(SettingsError, match="not a time of day"):
        write_units(tmp_path, tmp_path / "units", at)


def test_a_server_elsewhere_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "environ", dict(os.environ, PREFECT_API_URL="http://192.0.2.1/api"))
    with pytest.raises(SettingsError, match="only a server on this machine"):
        set_environment(tmp_path)


def test_a_killed_run_leaves_no_server_behind(tmp_path):
    started = (
        "import sys, time; from pathlib import Path\n"
        "from pipeline.flows.engine import Server, set_environment\n"
        "set_environment(Path(sys.argv[1])); server = Server()\n"
        "print(server._process.pid, flush=True); time.sleep(60)"
    )
    run_of_ours = subprocess.Popen(
        [sys.executable, "-c", started, str(tmp_path)],
        env=environment(),
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    server = int(run_of_ours.stdout.readline())
    assert is_running(server)
    run_of_ours.kill()
    run_of_ours.wait()
    deadline = time.monotonic() + 30
    while is_running(server) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not is_running(server)


def is_running(process: int) -> bool:
    """The process is there and has not ended: one that nobody has collected yet has."""
    try:
        told = Path(f"/proc/{process}/stat").read_text("utf-8")
    except OSError:
        return False
    return told.rpartition(")")[2].split()[0] != "Z"


def test_a_served_deployment_refreshes_the_folder(tmp_path):
    home = make_home(tmp_path / "home", "nights")
    script = tmp_path / "serve.py"
    script.write_text(SERVED, "utf-8")
    done = subprocess.run(
        [sys.executable, str(script), str(home)],
        env=environment(),
        capture_output=True,
        text=True,
        timeout=900,
        cwd=ROOT,
    )
    assert "state: Completed" in done.stdout, done.stderr[-3000:]
    (line,) = read_runs(Home(Path(home)))
    assert line["kept"] > 100
