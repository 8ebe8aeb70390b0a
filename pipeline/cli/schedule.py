"""``liftstrata schedule``."""

from pathlib import Path

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.flows.schedule import write_units


def write_schedule(folder: Path, at: str, units: Path | None) -> None:
    """Write the unit files and print the commands that put them to work."""
    home = Home(folder.resolve())
    if not home.settings.exists():
        remedy = "make it with 'liftstrata init FOLDER'"
        raise SettingsError(f"{folder}: no settings.toml in it: {remedy}")
    service, timer = write_units(home.root, units or home.root / "schedule", at)
    print(f"wrote {service} and {timer.name}; nothing runs yet")
    print(f"for a refresh every night at {at}: check the files, then enable the timer")
    print(f"  systemd-analyze verify {service} {timer}")
    print(f"  systemctl --user link {service} {timer}")
    print(f"  systemctl --user enable --now {timer.name}")
    print(f"without systemd, let any other timer call: liftstrata nightly {home.root}")
