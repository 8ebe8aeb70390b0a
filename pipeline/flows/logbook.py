"""One logbook file by itself, without a folder: for those who come from Python."""

import hashlib
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.core.source import SourceFile
from pipeline.reference import load_reference
from pipeline.sources.maps import read_map
from pipeline.sources.read import read_raw
from pipeline.tidy.lifter import join_files
from pipeline.tidy.names import NameIndex
from pipeline.tidy.tidy_file import tidy_file

LIFTER = "me"


def read_one(path: Path, map_path: Path) -> pl.DataFrame:
    """Table ``tidy_set`` of one file; body weight is not known, so that lifts which move it have
    no moved load."""
    content = path.read_bytes()
    checksum = hashlib.sha256(content).hexdigest()
    file = SourceFile(checksum[:12], LIFTER, path.name, checksum, len(content), path.resolve())
    reference = load_reference()
    names = NameIndex.from_reference(reference.aliases, reference.exercises, {})
    raw = read_raw(file, read_map(map_path))
    tidy = tidy_file(raw, names=names, exercises=reference.exercises, today_limit=date.today())
    joined = join_files(tidy.sets, tidy.signals, reference.exercises, [file.file_id])
    return joined.sets
