"""Everything a refresh is made from, read once: what the user owns and the shipped reference."""

import contextlib
import hashlib
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.core.errors import InputError, SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import Settings, is_there, read_settings
from pipeline.core.source import SourceFile, SourceMap
from pipeline.flows.journals import read_journals
from pipeline.flows.progress import Progress
from pipeline.reference import Reference, load_reference, read_own_exercises, reference_checksum
from pipeline.sources.broken_map import BROKEN
from pipeline.sources.maps import choose_map, read_maps
from pipeline.sources.snapshot import left_out, list_inbox, stray_files
from pipeline.tidy.corrections import (
    Correction,
    decide_copies,
    read_copy_choices,
    read_corrections,
    unused_corrections,
)
from pipeline.tidy.journal import REGIONS, unknown_ids
from pipeline.tidy.names import NameIndex, read_name_decisions

# What a drafted map carries where the file did not settle a question.
UNSURE = "# UNSURE"


@dataclass(frozen=True)
class Inputs:
    """What one refresh works from.

    ``files`` pairs each inbox file with the map that reads it; ``unmapped`` are those that no map
    matches, or more than one, or a broken one; ``why_unmapped`` says so of the latter two, by file
    id. ``journals`` holds one ``tidy_event`` frame a lifter; a lifter without one is left out of
    the run. ``copies`` says by pair of file ids which of two copies counts.
    """

    home: Home
    settings: Settings
    reference: Reference
    reference_id: str
    names: NameIndex
    names_id: str
    corrections: tuple[Correction, ...]
    copies: dict[frozenset[str], str]
    journals: dict[str, pl.DataFrame]
    files: tuple[tuple[SourceFile, SourceMap], ...]
    unmapped: tuple[SourceFile, ...]
    why_unmapped: dict[str, str]

    @property
    def without_files(self) -> tuple[str, ...]:
        """Lifters of the settings whose inbox holds nothing, or is not there."""
        has_files = {file.lifter_id for file in (*(file for file, _ in self.files), *self.unmapped)}
        known = (one.lifter_id for one in self.settings.lifters)
        return tuple(one for one in known if one not in has_files)


def read_inputs(home: Home, progress: Progress, today: date) -> Inputs:
    """Read settings, maps, journals, corrections, own exercises and the list of inbox files.

    Raises
    ------
    SettingsError
        when one of the user's own files cannot be used as it is.
    """
    settings = read_settings(home.settings)
    _check_began(settings, today)
    own = read_own_exercises(home.own_exercises) if is_there(home.own_exercises) else None
    decisions = read_name_decisions(home.name_decisions)
    reference = load_reference(own)
    files, unmapped, why = _map_files(home, settings, progress)
    corrections = tuple(read_corrections(home.corrections))
    for warning in unused_corrections(corrections, [*(file for file, _ in files), *unmapped]):
        progress.warn(warning)
    copies, unused = decide_copies(
        read_copy_choices(home.corrections), [*(file for file, _ in files), *unmapped]
    )
    for warning in unused:
        progress.warn(warning)
    known = (*reference.muscles["muscle_id"], *reference.exercises["exercise_id"], *REGIONS)
    journals = read_journals(home, settings, known, progress)
    _check_journals(home, settings, journals, reference, progress)
    return Inputs(
        home=home,
        settings=settings,
        reference=reference,
        reference_id=f"{reference_checksum()}{_file_id(home.own_exercises)}",
        names=NameIndex.from_reference(reference.aliases, reference.exercises, decisions),
        names_id=_file_id(home.name_decisions),
        corrections=corrections,
        copies=copies,
        journals=journals,
        files=files,
        unmapped=unmapped,
        why_unmapped=why,
    )


def _check_began(settings: Settings, today: date) -> None:
    for one in settings.lifters:
        if one.training_began > today:
            raise SettingsError(
                f"settings.toml: lifter.{one.lifter_id}.training_began = {one.training_began}: "
                f"is after {today}, the day of this run: correct it"
            )


def _check_journals(
    home: Home,
    settings: Settings,
    journals: dict[str, pl.DataFrame],
    reference: Reference,
    progress: Progress,
) -> None:
    """Warn of ids that nothing is called by, and of journals that belong to nobody."""
    known = {one.lifter_id for one in settings.lifters}
    muscles, lifts = reference.muscles["muscle_id"], reference.exercises["exercise_id"]
    for lifter_id, journal in journals.items():
        shown = f"journal/{lifter_id}.toml"
        for warning in unknown_ids(journal, shown, list(muscles), list(lifts)):
            progress.warn(warning)
    for path in sorted(home.journal.glob("*.toml")):
        if path.stem not in known:
            remedy = f"add [lifter.{path.stem}] to settings.toml, or rename it"
            progress.warn(f"journal/{path.name}: no such lifter: {remedy}")


def _map_files(
    home: Home, settings: Settings, progress: Progress
) -> tuple[tuple[tuple[SourceFile, SourceMap], ...], tuple[SourceFile, ...], dict[str, str]]:
    maps = read_maps(home, progress.warn)
    _warn_of_unsure(home, progress)
    known = {one.lifter_id for one in settings.lifters}
    mapped: list[tuple[SourceFile, SourceMap]] = []
    unmapped: list[SourceFile] = []
    why: dict[str, str] = {}
    strangers: set[str] = set()
    for file in list_inbox(home):
        if file.lifter_id not in known:
            strangers.add(file.lifter_id)
            continue
        try:
            found = choose_map(file, maps)
        except InputError as error:
            progress.warn(str(error))
            unmapped.append(file)
            why[file.file_id] = str(error)
            continue
        if found is None:
            remedy = "run 'liftstrata inspect' on it to draft one into maps/"
            progress.warn(str(InputError(file.shown, None, "no map", remedy)))
        elif found.kind == BROKEN:  # told of when the maps were read
            why[file.file_id] = f"maps/{found.name}.toml cannot be used: mend it"
            found = None
        if found is None:
            unmapped.append(file)
        else:
            mapped.append((file, found))
    for warning in left_out(home):
        progress.warn(warning)
    for name in stray_files(home):
        progress.warn(f"inbox/{name}: lies in no lifter's folder: move it into inbox/<lifter>/")
    for name in sorted(strangers):
        progress.warn(f"inbox/{name}: no such lifter: add [lifter.{name}] to settings.toml")
    return tuple(mapped), tuple(unmapped), why


def _warn_of_unsure(home: Home, progress: Progress) -> None:
    """A drafted map whose open questions nobody answered is used, but never in silence."""
    for path in filter(Path.is_file, sorted(home.maps.glob("*.toml"))):
        n_open = 0
        with contextlib.suppress(OSError):  # told of when the maps were read
            n_open = path.read_text("utf-8", errors="replace").count(UNSURE)
        if n_open:
            progress.warn(
                f"maps/{path.name}: lines marked {UNSURE}: {n_open}; "
                "correct what is wrong there and remove the mark"
            )


def _file_id(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:8] if path.exists() else ""
