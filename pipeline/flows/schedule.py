"""Unit files for the system's own timer: the nightly one-shot without a resident server."""

import shlex
import sys
from pathlib import Path

from pipeline.core.errors import SettingsError

SERVICE = """\
[Unit]
Description=Liftstrata nightly refresh of {folder}
After=local-fs.target

[Service]
Type=oneshot
ExecStart={command}
Nice=10
PrivateNetwork=yes
"""

TIMER = """\
[Unit]
Description=Liftstrata nightly refresh at {at}

[Timer]
OnCalendar=*-*-* {at}:00
Persistent=true

[Install]
WantedBy=timers.target
"""


def write_units(home: Path, folder: Path, at: str) -> tuple[Path, Path]:
    """Write ``liftstrata-nightly.service`` and ``.timer`` into ``folder``.

    Parameters
    ----------
    at : time of day as HH:MM. Ten past three by default: a run that starts just before midnight
        would take the wrong day for today.

    Raises
    ------
    SettingsError
        when ``at`` is no time of day, or a path holds a character the unit file cannot carry.
    """
    hours, _, minutes = at.partition(":")
    if not (hours.isdigit() and minutes.isdigit() and int(hours) < 24 and int(minutes) < 60):
        raise SettingsError(f"--at {at}: not a time of day: write it as 03:10")
    at = f"{int(hours):02d}:{int(minutes):02d}"
    folder.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "pipeline.cli", "nightly", str(home)]
    service, timer = (folder / f"liftstrata-nightly.{kind}" for kind in ("service", "timer"))
    service.write_text(SERVICE.format(folder=_escape(str(home)), command=_join(command)), "utf-8")
    timer.write_text(TIMER.format(at=at), "utf-8")
    return service, timer


def _join(words: list[str]) -> str:
    return " ".join(shlex.quote(_escape(word)) for word in words)


def _escape(text: str) -> str:
    if "\n" in text or "\r" in text:
        raise SettingsError(f"{text!r}: a folder name with a line break cannot be scheduled")
    return text.replace("%", "%%").replace("$", "$$")
