"""Maps: what they say, the faults they can have, and which file they read."""

import json
from dataclasses import replace
from datetime import date
from importlib import resources
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pipeline.core.errors import InputError, SettingsError
from pipeline.core.home import Home
from pipeline.core.source import SignalColumn, SourceFile
from pipeline.sources.maps import choose_map, read_maps
from tests.unit.reading import a_map

SETS = """\
schema = 1
[match]
globs = ["training_*.csv"]
[table]
kind = "sets"
[columns]
date = "Date"
exercise = "Lift"
reps = "Reps"
[units]
load = "kg"
"""


def write(tmp_path: Path, text: str, name: str = "log") -> Home:
    home = Home(tmp_path)
    home.maps.mkdir(exist_ok=True)
    (home.maps / f"{name}.toml").write_text(text)
    return home


def test_the_schema_is_a_schema() -> None:
    text = (
        resources.files("pipeline.sources").joinpath("schemas/map.schema.json").read_text("utf-8")
    )
    Draft202012Validator.check_schema(json.loads(text))


def test_reads_every_key(tmp_path: Path) -> None:
    home = write(
        tmp_path,
        """\
schema = 1
[match]
globs = ["a/*.csv", "b.csv"]
lifters = ["ida"]
[table]
kind = "exercises"
separator = ";"
decimal = ","
header_row = 3
encoding = "cp1252"
skip_columns = ["Remarks"]
warmups = "by rule"
[columns]
date = "Tag"
exercise = "Name  der Uebung"
sets = "Saetze"
[dates]
order = "dmy"
year_from = "file name"
[units]
load = "lb"
changes = [{from = 2018-01-01, load = "kg"}]
[load]
basis = "total"
bar_kg = 15
[notation]
order = "sets x reps @ load"
""",
    )
    (found,) = read_maps(home)
    assert (found.name, found.kind, found.globs, found.lifters) == (
        "log",
        "exercises",
        ("a/*.csv", "b.csv"),
        ("ida",),
    )
    assert found.columns["exercise"] == "Name der Uebung"
    assert (found.separator, found.decimal, found.header_row) == (";", ",", 3)
    assert (found.encoding, found.skip_columns, found.warmups) == (
        "cp1252",
        ("Remarks",),
        "by rule",
    )
    assert (found.date_order, found.year_from) == ("dmy", "file name")
    assert (found.unit, found.unit_changes) == ("lb", ((date(2018, 1, 1), "kg"),))
    assert (found.load_basis, found.bar_kg) == ("total", 15.0)
    assert found.notation_order == "sets x reps @ load"
    assert len(found.checksum) == 12


def test_reads_signals(tmp_path: Path) -> None:
    home = write(
        tmp_path,
        'schema = 1\n[match]\nglobs = ["n.csv"]\n[table]\nkind = "signals"\n'
        '[columns]\ndate = "Day"\n[signals."Sleep h"]\nsignal = "sleep_min"\nunit = "h"\n',
    )
    (found,) = read_maps(home)
    assert found.signals == (SignalColumn("Sleep h", "sleep_min", "h"),)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("exercise =", "exercice ="), "unknown key columns.exercice: did you mean exercise?"),
        (("[table]", "[tabel]"), "unknown key tabel: did you mean table?"),
        (('"kg"', '"stone"'), 'units.load = "stone": kg or lb'),
        (('reps = "Reps"\n', ""), 'kind = "sets" needs columns.reps: add [columns] reps = '),
        (('[units]\nload = "kg"\n', ""), "no unit of load: add [units] load ="),
        (("schema = 1", "schema = 7"), "schema = 7: this version reads schema = 1"),
        (('["training_*.csv"]', '"x"'), 'match.globs = "x": a list of patterns'),
        (('kind = "sets"', 'kind = "sheets"'), 'table.kind = "sheets": sets (a row per set)'),
        (('kind = "sets"', 'kind = "sets"\nheader_row = 0'), "header_row = 0: line of the header"),
        (("[match]\n", "[match\n"), "not valid TOML"),
        (
            ('load = "kg"', 'load = "kg"\nchanges = [{from = "2018-13-01", load = "lb"}]'),
            "from = '2018-13-01': no such day",
        ),
    ],
)
def test_faults_name_key_value_and_remedy(
    tmp_path: Path, change: tuple[str, str], told: str
) -> None:
    home = write(tmp_path, SETS.replace(*change))
    with pytest.raises(SettingsError) as error:
        read_maps(home)
    assert told in str(error.value)
    assert "log.toml" in str(error.value)


def test_warmups_are_told_in_one_way(tmp_path: Path) -> None:
    by_rule = SETS.replace('kind = "sets"', 'kind = "sets"\nwarmups = "by rule"')
    assert read_maps(write(tmp_path, by_rule))[0].warmups == "by rule"
    both = by_rule.replace('reps = "Reps"', 'reps = "Reps"\nis_warmup = "W"')
    with pytest.raises(SettingsError, match='"by rule" beside columns'):
        read_maps(write(tmp_path, both))


def test_a_signal_needs_a_fitting_unit(tmp_path: Path) -> None:
    text = (
        'schema = 1\n[match]\nglobs = ["n.csv"]\n[table]\nkind = "signals"\n[columns]\n'
        'date = "Day"\n[signals."W"]\nsignal = "body_weight_kg"\nunit = "bpm"\n'
    )
    with pytest.raises(SettingsError, match="body_weight_kg cannot be in bpm: write one of kg, lb"):
        read_maps(write(tmp_path, text))
    with pytest.raises(SettingsError, match="sleep_min, resting_hr_bpm"):
        read_maps(write(tmp_path, text.replace("body_weight_kg", "weight")))


def file(path: str, lifter: str = "ida") -> SourceFile:
    return SourceFile("id", lifter, path, "sum", 1, Path(path))


def test_the_most_specific_glob_wins() -> None:
    wide = replace(a_map(), name="all", globs=("*.csv",))
    narrow = replace(a_map(), name="2019", globs=("log_2019*.csv",))
    own = replace(a_map(), name="ola", globs=("*",), lifters=("ola",))
    maps = [wide, narrow, own]
    assert choose_map(file("log_2019_b.csv"), maps) is narrow
    assert choose_map(file("old/LOG.CSV"), maps) is wide
    assert choose_map(file("log_2019_b.csv", "ola"), maps) is own
    assert choose_map(file("notes.txt"), maps) is None
    assert choose_map(file("notes.txt", "ola"), [wide, narrow]) is None


def test_two_equal_maps_are_an_error() -> None:
    maps = [replace(a_map(), name=name, globs=("*.csv",)) for name in ("one", "two")]
    with pytest.raises(InputError, match=r"ida/log.csv: maps one, two match it equally: make"):
        choose_map(file("log.csv"), maps)
