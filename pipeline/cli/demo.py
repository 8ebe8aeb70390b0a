"""``liftstrata demo``: two invented lifters' folder, refreshed."""

from pathlib import Path

from pipeline.cli.refresh import run_refresh
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.demo.write_home import is_demo, write_home


def run_demo(folder: Path) -> int:
    """Write the demo's folder, refresh it and say what to open; gives the refresh's exit code.

    Raises
    ------
    SettingsError
        when the folder holds anything but an earlier demo.
    """
    if folder.exists() and not folder.is_dir():
        raise SettingsError(f"{folder}: a file: choose a new folder for the demo")
    if folder.exists() and any(folder.iterdir()) and not is_demo(folder):
        raise SettingsError(f"{folder}: not empty and no demo: choose a new folder for it")
    n_files = sum(len(one.sheets) for one in write_home(folder))
    print(f"wrote {n_files} files of two invented lifters into {folder}")
    code = run_refresh(folder, as_json=False, flow_name="refresh")
    home = Home(folder.resolve())
    print(f"open in a browser: {home.current / 'pages' / 'index.html'}")
    print(f"what was read:     {home.inbox}, by the maps in {home.maps}")
    print(f"change a file there, then: liftstrata refresh {folder}")
    return code
