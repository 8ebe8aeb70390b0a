"""Results of the steps on disk, each in a folder named by the content of its inputs.

A folder appears under its final name only when it is complete, with a list of its files and their
sizes: neither a killed run nor a power cut nor a tidying hand leaves anything that could be taken
for a result. Everything here may be deleted: the next run makes it again.
"""

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from functools import cache
from importlib import resources
from pathlib import Path

KEY_LENGTH = 20
SIZES = ".sizes.json"


def content_key(*parts: object) -> str:
    """Hash of anything JSON can write; the same inputs give the same key on every machine."""
    text = json.dumps(parts, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:KEY_LENGTH]


@cache
def code_key(*packages: str) -> str:
    """Hash of the program files (Python, SQL, tables, styles) of the given packages."""
    digest = hashlib.sha256()
    for package in packages:
        root = Path(str(resources.files(package)))
        for path in sorted(_program_files(root)):
            digest.update(f"{package}/{path.relative_to(root).as_posix()}".encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:KEY_LENGTH]


def _program_files(root: Path) -> Iterable[Path]:
    endings = {".py", ".sql", ".csv", ".toml", ".json", ".css", ".js", ".html", ".jinja"}
    return (path for path in root.rglob("*") if path.suffix in endings)


def name_run(step: str, subject: str) -> str:
    """What Prefect calls one run of a step; it fills in braces, which file names may hold."""
    return f"{step} {subject}".replace("{", "{{").replace("}", "}}")


def keep(folder: Path, make: Callable[[Path], None]) -> Path:
    """The folder of one result, made by ``make(empty folder)`` unless it is already there."""
    if is_complete(folder):
        return folder
    _remove(folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix=".making-", dir=folder.parent))
    try:
        make(work)
        (work / SIZES).write_text(json.dumps(_sizes(work)), "utf-8")
        os.replace(work, folder)
    except OSError:
        if not is_complete(folder):  # else another run made the same result first
            raise
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return folder


def is_complete(folder: Path) -> bool:
    """The folder holds a result with every file that was made for it, at its full size."""
    try:
        return json.loads((folder / SIZES).read_text("utf-8")) == _sizes(folder)
    except (OSError, ValueError):
        return False


def _sizes(folder: Path) -> dict[str, int]:
    files = (path for path in sorted(folder.rglob("*")) if path.is_file() and path.name != SIZES)
    return {path.relative_to(folder).as_posix(): path.stat().st_size for path in files}


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def prune(store: Path, used: set[Path]) -> None:
    """Remove every result that this run did not use."""
    for step in store.iterdir() if store.exists() else ():
        for folder in step.iterdir() if step.is_dir() else ():
            if folder not in used:
                _remove(folder)
