"""What a lifter wishes of the next phase: ``[lifter.<id>.next_phase]`` in settings.toml.

Everything may be left out; what is not wished is taken from the record (``findings.next_phase``).
"""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class NextPhase:
    """Wishes; None and empty: as the record has it.

    Attributes
    ----------
    priorities, hold : muscle ids that get more, or only what holds them.
    lifts_out, keep : exercise ids that are not done, or stay in.
    sessions, minutes, weekly_sets : a week; of a session; of all lifts together.
    weeks : length, the easing week included.
    weekly_increase : share by which a muscle's sets may change from week to week.
    """

    priorities: tuple[str, ...] = ()
    hold: tuple[str, ...] = ()
    lifts_out: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    sessions: int | None = None
    minutes: float | None = None
    weekly_sets: int | None = None
    weeks: int | None = None
    weekly_increase: float | None = None


NO_WISHES = NextPhase()


def read_next_phase(file: str, lifter_id: str, entry: Any) -> NextPhase:
    """The wishes of one lifter's table.

    Raises
    ------
    SettingsError
        naming the key, its value and what is allowed; for an unknown key, the nearest known one.
    """
    from pipeline.core.json_schema import check_entries, load_schema  # it reads the settings too

    entries: dict[str, object] = {"lifter": {lifter_id: {"next_phase": entry}}}
    check_entries(file, entries, load_schema("pipeline.core", "settings.schema.json"))
    wishes: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()
    }
    return NextPhase(**wishes)
