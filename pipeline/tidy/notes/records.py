"""What the lines of notes say once each has its day and its exercise. Records only."""

from dataclasses import dataclass
from datetime import date

from pipeline.tidy.notes.days import DayLine


@dataclass(frozen=True)
class NoteEntry:
    """Sets of one exercise on one line, or the reason why the line is set aside.

    ``name`` and ``day`` are None where a fault says why.
    """

    place: int
    name: str | None
    sets: str
    day: date | None
    part: str | None = None
    superset: str | None = None
    is_warmup: bool = False
    reason: str | None = None
    detail: str | None = None


@dataclass(frozen=True)
class Weighing:
    """A body weight as written."""

    place: int
    day: date | None
    text: str
    number: str
    unit: str | None
    reason: str | None
    detail: str | None


@dataclass(frozen=True)
class Above:
    """What stands above a line of a table: day (or what was written for it), part of it, name."""

    day: date | None
    written: str | None
    part: str | None
    name: str | None


@dataclass(frozen=True)
class Walked:
    """What the lines of a file say; ``above`` for each line of a table."""

    entries: tuple[NoteEntry, ...]
    weighings: tuple[Weighing, ...]
    remarks: tuple[tuple[int, str], ...]
    above: dict[int, Above]


@dataclass
class Here:
    """Where the walk stands: day, exercise, and what holds for the lines beneath."""

    day: DayLine | None = None
    part: str | None = None
    name: str | None = None
    load: str | None = None
    dress: tuple[object, ...] | None = None
    set_dress: tuple[object, ...] | None = None
    superset: str | None = None
    is_warmup: bool = False
