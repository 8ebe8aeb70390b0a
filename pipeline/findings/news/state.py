"""What a lifter was told last, as the small file in the folder keeps it from refresh to refresh.

Everything that news is held against stands here, so that deleting what was published or kept from
step to step changes no line of it.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any

Pairs = tuple[tuple[int, float], ...]


@dataclass(frozen=True)
class Standing:
    """How one finding reads.

    told : the word that was told last; None before the first.
    seen : the word that the last refresh read; it is told once it has stood long enough.
    since : last day of the record with which ``seen`` was read first.
    """

    told: str | None
    seen: str | None
    since: date


@dataclass(frozen=True)
class LiftBests:
    """Best sets of one lift: (repetitions, kg) that no other set matches in both.

    ``recent`` are those of the last years as they were then; ``sets`` counts all.
    """

    sets: int
    ever: Pairs
    recent: Pairs


@dataclass(frozen=True)
class Told:
    """One lifter's record as a refresh left it.

    made : what the answers were made from, by name, with a checksum each; files by path.
    last_day : of the record; None without sets.
    """

    made: Mapping[str, Any]
    last_day: date | None
    standings: Mapping[str, Standing] = field(default_factory=dict)
    lifts: Mapping[str, LiftBests] = field(default_factory=dict)
    doubts: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()

    @property
    def sets(self) -> int:
        """Sets of all lifts."""
        return sum(one.sets for one in self.lifts.values())

    def as_json(self) -> dict[str, Any]:
        """The same of JSON's own types."""
        plain = asdict(self)
        plain["last_day"] = None if self.last_day is None else self.last_day.isoformat()
        plain["standings"] = {
            finding: [one.told, one.seen, one.since.isoformat()]
            for finding, one in self.standings.items()
        }
        plain["lifts"] = {
            lift: [one.sets, one.ever, one.recent] for lift, one in self.lifts.items()
        }
        return plain


def read_told(plain: Mapping[str, Any]) -> Told:
    """What ``as_json`` wrote.

    Raises
    ------
    KeyError, TypeError, ValueError, AttributeError
        when it is something else.
    """
    day = plain["last_day"]
    return Told(
        made=dict(plain["made"]),
        last_day=None if day is None else date.fromisoformat(day),
        standings={
            finding: Standing(told, seen, date.fromisoformat(since))
            for finding, (told, seen, since) in plain["standings"].items()
        },
        lifts={
            lift: LiftBests(int(sets), _pairs(ever), _pairs(recent))
            for lift, (sets, ever, recent) in plain["lifts"].items()
        },
        doubts=tuple(plain["doubts"]),
        names=tuple(plain["names"]),
        gaps=tuple(plain["gaps"]),
    )


def _pairs(rows: list[list[float]]) -> Pairs:
    return tuple((int(reps), float(kg)) for reps, kg in rows)
