"""Readers and small invented files for the tests of map drafting."""

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.source import RawFile, SourceMap
from pipeline.reference import load_reference
from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Draft, Readers
from pipeline.sources.maps import read_map
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date
from pipeline.tidy.names import NameIndex
from pipeline.tidy.notation import Notation, parse_sets
from pipeline.tidy.notes.survey import survey_notes
from pipeline.tidy.tidy_file import TidyFile, tidy_file

TODAY = date(2025, 6, 30)
EXERCISES = {
    "back_squat": ("Back squat", "barbell"),
    "bench_press": ("Bench press", "barbell"),
    "row": ("Barbell row", "barbell"),
    "pull_up": ("Pull-up", "body_weight"),
    "lateral_raise": ("Dumbbell lateral raise", "dumbbell"),
    "leg_press": ("Leg press", "machine"),
    "leg_curl": ("Leg curl", "machine"),
}
ALIASES = {"kniebeuge": "back_squat", "bankdrücken": "bench_press", "rudern": "row"}


def make_readers(aliases: pl.DataFrame, exercises: pl.DataFrame) -> Readers:
    names = NameIndex.from_reference(aliases, exercises, {})

    def read_day(text: str, order: str, year: int | None) -> date | None:
        try:
            return read_date(text, order, year, TODAY)
        except CellError:
            return None

    def read_file(raw: RawFile) -> TidyFile:
        return tidy_file(raw, names=names, exercises=exercises, today_limit=TODAY)

    return Readers(
        parse_sets=lambda text, order, decimal: parse_sets(
            text, Notation(order, decimal, "per side")
        ),
        read_date=read_day,
        resolve_name=names.resolve,
        tidy_file=read_file,
        survey_notes=lambda raw: survey_notes(raw, TODAY, names, exercises),
    )


def small_readers() -> Readers:
    """Readers that know a handful of exercises."""
    exercises = [
        {
            "exercise_id": key,
            "name": name,
            "equipment": equipment,
            "laterality": "bilateral",
            "default_load_basis": "added" if equipment == "body_weight" else "total",
        }
        for key, (name, equipment) in EXERCISES.items()
    ]
    aliases = [{"alias": alias, "exercise_id": key} for alias, key in ALIASES.items()]
    return make_readers(
        conform("ref_alias", pl.DataFrame(aliases)),
        conform("ref_exercise", pl.DataFrame(exercises)),
    )


def shipped_readers() -> Readers:
    """Readers that know the shipped exercises."""
    reference = load_reference()
    return make_readers(reference.aliases, reference.exercises)


def read_text(toml: str) -> SourceMap:
    """A drafted map as the refresh would read it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "draft.toml"
        path.write_text(toml, "utf-8")
        return read_map(path)


def write(tmp_path: Path, text: str, name: str = "log.csv", encoding: str = "utf-8") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding)
    return path


def draft(
    path: Path, readers: Readers, answers: Mapping[str, str] | None = None
) -> tuple[Draft, SourceMap]:
    """The draft, and its map as the refresh would read it."""
    drafted = draft_map(path, readers, answers)
    return drafted, read_text(drafted.toml)


def days(n: int, start: date = date(2024, 1, 3), step: int = 3) -> list[date]:
    return [start + timedelta(days=i * step) for i in range(n)]


def sets_table() -> str:
    rows = ["Date,Exercise,Set,Weight (kg),Reps,RIR,To failure,Drop of,Remarks"]
    for i, day in enumerate(days(12)):
        for n in range(1, 4):
            rows.append(f"{day},Back squat,{n},{100 + 2.5 * i},{9 - n},{3 - n},,,")
        rows.append(f"{day},Lateral raise,1,10,12,0,x,,good")
        rows.append(f"{day},Lateral raise,2,5,9,,,1,")
    return "\n".join(rows) + "\n"


def shorthand_table(day_format: str = "%Y-%m-%d") -> str:
    rows = ["Date,Lift,What was done"]
    for i, day in enumerate(days(12)):
        when = day.strftime(day_format)
        load = 100 + 2.5 * i
        rows.append(f'{when},Back squat,"3x8@{load}, 1x6@{load + 5}"')
        rows.append(f'{when},Bench press,"{load - 20}x8,8,7"')
        rows.append(f"{when},Lateral raise,50x10 > 25x9 > 12.5x8")
        rows.append(f"{when},Pull-up,bw x 11")
    return "\n".join(rows) + "\n"


def european_table(changed: date = date(2024, 2, 20)) -> str:
    rows = ["Datum;Übung;Satz;Gewicht;Wdh;Bemerkung"]
    for i, day in enumerate(days(40)):
        for lift, start in (("Kniebeuge", 80), ("Bankdrücken", 60), ("Rudern", 50)):
            load = start + 2.5 * (i // 2)
            if day < changed:
                load = 5 * round(load / 0.45359237 / 5)
            text = f"{load:g}".replace(".", ",")
            rows += [f"{day:%d.%m.%Y};{lift};{n};{text};8;" for n in (1, 2)]
    return "\n".join(rows) + "\n"


def wide_table(year: int, labels: tuple[str, ...] = ("Squat back", "Benhc press")) -> str:
    rows = [f"Day,{labels[0]},{labels[1]},Body weight,Remarks"]
    for i, day in enumerate(days(30, date(year, 1, 4), 7)):
        load = 60 + 2.5 * (i % 8)
        rows.append(f"{day:%d/%m},{load}x8/8/7,{load - 20}x10/9,81.5,fine")
    return "\n".join(rows) + "\n"


def wearable_table() -> str:
    rows = ["Date;Sleep;Resting HR;HRV (RMSSD) [ms];Steps;Body weight (kg);Device;Moon"]
    for i, day in enumerate(days(30, step=1)):
        rows.append(
            f"{day:%d.%m.%Y};7:{i:02d};{50 + i % 5};{60 + i},5;{9000 + i};81,{i % 9};band A;new"
        )
    return "\n".join(rows) + "\n"
