"""The demo's folder: two invented lifters, written as people keep their records."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path

from pipeline.core.home import Home
from pipeline.demo.journal import write_journal
from pipeline.demo.layouts import write_european, write_exercises, write_set_rows, write_wide
from pipeline.demo.logbook import Entry, keep_logbook
from pipeline.demo.measures import write_body, write_nights
from pipeline.demo.scenario import (
    ALDER,
    BIRCH,
    EUROPEAN_FROM,
    EXERCISES_FROM,
    GYM_CHANGE,
    LIFTERS,
    NIGHTS_FROM,
    SETS_FROM,
    InventedLifter,
)
from pipeline.demo.sheet import FIRST_LINE, Sheet
from pipeline.demo.slips import (
    ExtraSet,
    misspell_load,
    paste_again,
    spoil_european,
    spoil_exercises,
    spoil_nights,
    spoil_sets,
    spoil_wide,
)
from pipeline.models.simulate import Career

# First line of settings.toml; a folder that has it is a demo and may be written again.
MARK = "# Settings of the demo: Alder and Birch are invented lifters, nobody's record."

_SETTINGS = """\
{mark}
schema = 1
{lifters}
# Any shipped threshold can be changed; a changed one is printed with each result it shaped.
# [thresholds]
# plateau_pct_per_year = 2.0
"""
_LIFTER = """
[lifter.{lifter_id}]
name = "{name}"
training_began = {began}   # training age counts from here, not from the first log
unit = "kg"
consent = true
"""
_CORRECTIONS = """\
# Fixes of single cells, each with the text it expects to find. (Demo: an invented record.)

[[correction]]
file = "{file}"
row = {row}
column = "Load kg"
expect = "{expect}"
value = "{value}"
why = "one zero too many; the sets beside it say so"
"""
_NAMES = """\
# Names that were written too oddly to be matched, decided by hand. (Demo: an invented record.)
[names]
"face pul" = "face_pull"
"""


@dataclass
class Written:
    """What was written of one lifter: the career behind it, its sheets, and what slips added."""

    lifter: InventedLifter
    career: Career
    sheets: list[Sheet]
    extra: list[ExtraSet] = field(default_factory=list)
    correction: str = ""

    def sheet(self, path: str) -> Sheet:
        """The sheet with that path."""
        return next(one for one in self.sheets if one.path == path)


def note_of(name: str) -> str:
    """The first line of every file."""
    return f"{name}: a lifter who does not exist; every value was made by a simulator"


def write_alder() -> Written:
    """Twelve years through all four layouts, with nights and tape measures."""
    career, note = ALDER.live(), note_of(ALDER.name)
    entries, remarks = keep_logbook(career), ALDER.remarks
    eras = list(_split(entries))
    nights = write_nights(career, note, NIGHTS_FROM, "wearable/nights.csv")
    sheets = [
        write_body(career, note, NIGHTS_FROM, "body.csv"),
        *write_wide(eras[0], note, _within(remarks, eras[0])),
        write_european(eras[1], note, remarks, GYM_CHANGE, "training_2018-2020.csv"),
        write_exercises(eras[2], note, _within(remarks, eras[2]), "exercise log 2021-2023.csv"),
        *write_set_rows(eras[3], note, remarks),
        nights,
    ]
    written = Written(ALDER, career, sheets)
    _spoil(written)
    return written


def write_birch() -> Written:
    """Two years in the last layout."""
    career, note = BIRCH.live(), note_of(BIRCH.name)
    return Written(BIRCH, career, write_set_rows(keep_logbook(career), note, BIRCH.remarks))


def write_home(folder: Path) -> list[Written]:
    """Write both lifters' folder: settings, maps, journals, corrections and inbox.

    Files of an earlier demo are written over; anything else in the folder stays.
    """
    home = Home(folder)
    written = [write_alder(), write_birch()]
    for path in (home.inbox, home.maps, home.journal):
        path.mkdir(parents=True, exist_ok=True)
    home.settings.write_text(_write_settings(), "utf-8")
    home.corrections.write_text(written[0].correction, "utf-8")
    home.name_decisions.write_text(_NAMES, "utf-8")
    for name, text in read_maps_of_demo():
        (home.maps / name).write_text(text, "utf-8")
    for one in written:
        write_inbox(home, one.lifter.lifter_id, one.sheets)
        journal = write_journal(one.lifter, one.career)
        (home.journal / f"{one.lifter.lifter_id}.toml").write_text(journal, "utf-8")
    return written


def write_inbox(home: Home, lifter_id: str, sheets: Iterable[Sheet]) -> None:
    """Write a lifter's sheets into the inbox."""
    for sheet in sheets:
        path = home.inbox / lifter_id / sheet.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(sheet.to_bytes())


def read_maps_of_demo() -> Iterator[tuple[str, str]]:
    """Name and text of every map that the demo brings."""
    maps = resources.files("pipeline.demo").joinpath("maps")
    for one in sorted(maps.iterdir(), key=lambda entry: entry.name):
        yield one.name, one.read_text("utf-8")


def is_demo(folder: Path) -> bool:
    """The folder was written by an earlier demo."""
    settings = Home(folder).settings
    return settings.is_file() and settings.read_text("utf-8", "replace").startswith(MARK)


def _write_settings() -> str:
    lifters = "".join(
        _LIFTER.format(lifter_id=one.lifter_id, name=one.name, began=one.training_began)
        for one in LIFTERS
    )
    return _SETTINGS.format(mark=MARK, lifters=lifters)


def _split(entries: list[Entry]) -> Iterator[list[Entry]]:
    """Entries of each layout's years."""
    starts = (ALDER.options.script.start, EUROPEAN_FROM, EXERCISES_FROM, SETS_FROM)  # type: ignore[union-attr]
    for place, start in enumerate(starts):
        after = starts[place + 1] if place + 1 < len(starts) else None
        yield [one for one in entries if one.day >= start and (after is None or one.day < after)]


def _within(remarks: dict, entries: list[Entry]) -> dict:
    """Remarks of the years of some entries."""
    return {
        day: remark for day, remark in remarks.items() if entries[0].day <= day <= entries[-1].day
    }


def _spoil(written: Written) -> None:
    """Put the slips in; a block copied over and a misspelt load come last, once rows stand."""
    written.extra += spoil_wide(written.sheet("yearly sheets/training 2015.csv"))
    spoil_european(written.sheet("training_2018-2020.csv"))
    spoil_exercises(written.sheet("exercise log 2021-2023.csv"))
    last = written.sheet("sets/sets 2026.csv")
    written.extra += spoil_sets(last)
    paste_again(written.sheet("sets/sets 2024.csv"), written.sheet("sets/sets 2025.csv"), 3)
    spoil_nights(written.sheet("wearable/nights.csv"))
    place, found, meant = misspell_load(last, "Back squat")
    written.correction = _CORRECTIONS.format(
        file=f"{written.lifter.lifter_id}/{last.path}",
        row=place + FIRST_LINE,
        expect=found,
        value=meant,
    )
