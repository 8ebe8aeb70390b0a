"""The inbox: which files lie in it, and a read-only copy of each by checksum."""

import hashlib
import os
import shutil
import stat
import tempfile
from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from pathlib import Path

from pipeline.core.errors import InputError
from pipeline.core.home import Home
from pipeline.core.source import SourceFile

FILE_ID_LENGTH = 12
# What editors and systems leave beside a file; never a source.
BACKUP_ENDINGS = ("~", ".bak", ".swp", ".swo", ".tmp", ".part", ".orig", ".crdownload")
BACKUP_STARTS = (".", "~$", "#")
SYSTEM_FILES = ("thumbs.db", "desktop.ini")


def list_inbox(home: Home) -> list[SourceFile]:
    """Every source file of every lifter, in order of lifter and path.

    Hidden files, editor backups and links that lead out of the inbox are left out. A file that
    cannot be opened is listed with an empty checksum: ``take_snapshot`` says why.
    """
    if not home.inbox.is_dir():
        return []
    folders = sorted(path for path in home.inbox.iterdir() if path.is_dir())
    root = home.inbox.resolve()
    return [
        _source_file(folder.name, path.relative_to(folder).as_posix(), path)
        for folder in folders
        if not _is_leftover(folder.name) and not folder.is_symlink()
        for path in _files_under(folder, root)
    ]


def stray_files(home: Home) -> list[str]:
    """Names of files that lie in the inbox itself, in no lifter's folder: nobody reads them."""
    if not home.inbox.is_dir():
        return []
    return sorted(
        as_text(p.name) for p in home.inbox.iterdir() if p.is_file() and not _is_leftover(p.name)
    )


def left_out(home: Home) -> list[str]:
    """Warnings for what lies in the inbox and is not read: links that lead out of it, pipes,
    folders that may not be opened.
    """
    if not home.inbox.is_dir():
        return []
    root = home.inbox.resolve()
    copy = "not a file of the inbox (a link out of it?): copy the file itself there"
    told: list[str] = []
    for folder in sorted(home.inbox.iterdir()):
        if _is_leftover(folder.name) or not folder.is_dir():
            continue
        if folder.is_symlink():
            told.append(f"inbox/{as_text(folder.name)}: {copy}")
            continue
        closed: list[OSError] = []
        outside = [path for path in _walk(folder, closed.append) if not _is_inside(path, root)]
        told += [f"{_shown(home, path)}: {copy}" for path in sorted(outside)]
        right = "give this user the right to read it"
        told += [f"{_shown(home, error.filename)}: {error.strerror}: {right}" for error in closed]
    return told


def take_snapshot(home: Home, file: SourceFile) -> SourceFile:
    """Copy a file to ``.cache/sources/<sha256>`` once, read-only; the inbox is never edited.

    Returns
    -------
    SourceFile
        the same file, its ``absolute`` leading to the copy.

    Raises
    ------
    InputError
        when the file cannot be opened, or changed while it was copied.
    """
    if not file.sha256:
        raise InputError(
            file.shown, None, "cannot be opened", "give this user the right to read it"
        )
    target = home.cache / "sources" / file.sha256
    if not target.exists():
        _copy_checked(file, target)
    return replace(file, absolute=target)


def prune_snapshots(home: Home, used: Collection[str]) -> None:
    """Remove the copies of what no longer lies in the inbox: a log that grows is a new file each
    night.

    Parameters
    ----------
    used : checksums of the files that this run read.
    """
    folder = home.cache / "sources"
    for copy in folder.iterdir() if folder.exists() else ():
        if copy.name not in used:
            copy.unlink(missing_ok=True)


def _copy_checked(file: SourceFile, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".copy-", dir=target.parent)
    os.close(handle)
    copy = Path(name)
    try:
        shutil.copyfile(file.absolute, copy)
        if _checksum(copy) != file.sha256:
            raise InputError(file.shown, None, "changed while it was read", "refresh again")
        copy.chmod(stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
        os.replace(copy, target)
    except FileNotFoundError:
        raise InputError(file.shown, None, "vanished while it was read", "refresh again") from None
    finally:
        copy.unlink(missing_ok=True)


def _files_under(folder: Path, root: Path) -> list[Path]:
    found = [path for path in _walk(folder) if _is_inside(path, root)]
    return sorted(found, key=lambda path: path.as_posix())


def _walk(folder: Path, tell: Callable[[OSError], None] | None = None) -> Iterator[Path]:
    """Everything under a folder that is no folder, linked folders included, leftovers not."""
    for place, folders, names in os.walk(folder, onerror=tell, followlinks=False):
        folders[:] = [name for name in folders if not _is_leftover(name)]
        linked = [name for name in folders if Path(place, name).is_symlink()]
        yield from (Path(place, name) for name in [*names, *linked] if not _is_leftover(name))


def _shown(home: Home, path: str | Path) -> str:
    """A path inside the inbox as the user knows it."""
    return as_text(Path(path).relative_to(home.inbox).as_posix())


def _is_inside(path: Path, root: Path) -> bool:
    """A regular file whose bytes lie inside the inbox, links resolved."""
    try:
        real = path.resolve()
    except (OSError, RuntimeError):  # a link that leads back to itself
        return False
    return real.is_file() and real.is_relative_to(root)


def _is_leftover(name: str) -> bool:
    lower = name.lower()
    return (
        lower.startswith(BACKUP_STARTS) or lower.endswith(BACKUP_ENDINGS) or lower in SYSTEM_FILES
    )


def as_text(name: str) -> str:
    """A name with those of its bytes that are no text written out: ``caf\\xe9.csv``."""
    return os.fsencode(name).decode("utf-8", "backslashreplace")


def _source_file(lifter_id: str, path: str, absolute: Path) -> SourceFile:
    lifter_id, path = as_text(lifter_id), as_text(path)
    try:
        checksum, size = _checksum(absolute), absolute.stat().st_size
    except OSError:
        checksum, size = "", 0
    identity = "\0".join((lifter_id, path, checksum))
    file_id = hashlib.sha256(identity.encode()).hexdigest()[:FILE_ID_LENGTH]
    return SourceFile(file_id, lifter_id, path, checksum, size, absolute)


def _checksum(path: Path) -> str:
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()
