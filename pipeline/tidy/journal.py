"""The journal: phases, deloads, layoffs, injuries and changes in the lifter's own words.

A journal is a TOML file, ``journal/<lifter>.toml``. Dates stand without quotes, ``end`` is the
last day (left out: still going on, or a moment), ``subject`` names muscles, lifts or regions (left
out: the whole lifter)::

    [[event]]
    kind = "priority"
    start = 2024-03-04
    end = 2024-05-12
    subject = ["calves", "hamstrings"]
    why = "bring the lower leg up"

    [[event]]
    kind = "injury"
    start = 2025-01-20
    subject = ["knee"]
    lifts_out = ["back_squat"]      # lifts that it ruled out
    regions = ["knee"]              # regions to be spared
    evidence = "told"               # or "accepted": found by a rule and confirmed

Kinds: priority, hold, surplus, deficit, deload, layoff, injury, gym_change, device_change, swap.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.calendar import say_date
from pipeline.core.dictionary import columns_of, conform
from pipeline.core.errors import SettingsError, nearest
from pipeline.core.identity import event_id_of
from pipeline.core.json_schema import check_entries, load_schema
from pipeline.core.settings import read_toml

# Joints and the back that an event may spare: columns of ``ref_exercise``.
REGIONS = ("lower_back", "knee", "shoulder", "elbow", "hip", "wrist")


def read_journal(path: Path, lifter_id: str, known: Collection[str] = ()) -> pl.DataFrame:
    """Table ``tidy_event`` of one lifter, in order of start, kind and subject.

    Parameters
    ----------
    known : ids of muscles, lifts and regions, to name the one that a label means.

    Raises
    ------
    SettingsError
        naming the file, the key or kind and the nearest known one, or the value and what is
        allowed; for an end before its start with both days; for an event told twice.
    """
    shown = f"journal/{path.name}"
    entries: dict[str, Any] = read_toml(path, shown)
    _check_kinds(shown, entries)
    _check_labels(shown, entries, known)
    check_entries(shown, entries, load_schema("pipeline.tidy", "journal.schema.json"))
    told = enumerate(entries.get("event", ()), 1)
    rows = [_read_event(shown, place, event, lifter_id) for place, event in told]
    _check_twice(shown, rows)
    frame = conform("tidy_event", pl.DataFrame(rows, infer_schema_length=None))
    return frame.sort("start", "kind", "subject")


def unknown_ids(
    journal: pl.DataFrame, shown: str, muscles: Collection[str], lifts: Collection[str]
) -> list[str]:
    """Warnings for muscles, lifts and regions that the reference does not know: each with the
    nearest one. A slip of spelling would take the event's effect away without a word.
    """
    known = {
        "subject": (*muscles, *lifts, *REGIONS),
        "lifts_out": tuple(lifts),
        "regions": REGIONS,
    }
    warnings: list[str] = []
    for event in journal.iter_rows(named=True):
        where = f"{shown}: {event['kind']} from {say_date(event['start'])}"
        for key, ids in known.items():
            for one in (event[key] or "").split():
                if one not in ids:
                    near = nearest(one, ids)
                    warnings.append(f"{where}: {key} {one!r} is not known: did you mean {near}?")
    return warnings


def _check_kinds(shown: str, entries: Mapping[str, Any]) -> None:
    """An unknown kind is answered with the nearest known one."""
    known = next(c.values for c in columns_of("tidy_event") if c.name == "kind")
    events = entries.get("event", ())
    for place, event in enumerate(events if isinstance(events, list) else (), 1):
        kind = event.get("kind") if isinstance(event, dict) else None
        if isinstance(kind, str) and kind not in known:
            near = nearest(kind, known)
            raise SettingsError(
                f'{shown}: event[{place}].kind = "{kind}": no such kind: did you mean {near}?'
            )


def _check_labels(shown: str, entries: Mapping[str, Any], known: Collection[str]) -> None:
    """A label in words ("side delts") is answered with the id that it means."""
    events = entries.get("event", ())
    for place, event in enumerate(events if isinstance(events, list) else (), 1):
        for key in ("subject", "lifts_out", "regions") if isinstance(event, dict) else ():
            listed = event.get(key)
            for label in listed if isinstance(listed, list) else ():
                if isinstance(label, str) and len(label.split()) > 1:
                    one = "_".join(label.casefold().split())
                    near = nearest(one, known) if known else one
                    raise SettingsError(
                        f'{shown}: event[{place}].{key} = "{label}": one id without spaces: '
                        f"did you mean {near}?"
                    )


def _read_event(
    shown: str, place: int, event: Mapping[str, Any], lifter_id: str
) -> dict[str, object]:
    start = _read_day(shown, place, "start", event["start"])
    end = _read_day(shown, place, "end", event["end"]) if "end" in event else None
    if end is not None and end < start:
        raise SettingsError(
            f"{shown}: event[{place}]: end {say_date(end)} is before start {say_date(start)}: "
            "correct one of them"
        )
    subject = _join(event.get("subject"))
    return {
        "event_id": event_id_of(lifter_id, event["kind"], start, subject),
        "lifter_id": lifter_id,
        "kind": event["kind"],
        "start": start,
        "end": end,
        "subject": subject,
        "evidence": event.get("evidence", "told"),
        "note": event.get("why"),
        "lifts_out": _join(event.get("lifts_out")),
        "regions": _join(event.get("regions")),
    }


def _read_day(shown: str, place: int, key: str, value: date | str) -> date:
    """A day; one in quotes is taken too, a time of day is left out."""
    try:
        return date.fromisoformat(str(value)[:10])
    except ValueError:
        raise SettingsError(
            f"{shown}: event[{place}].{key} = {str(value)!r}: no such day: write it without "
            "quotes, e.g. 2024-03-04"
        ) from None


def _join(ids: Sequence[str] | None) -> str | None:
    return " ".join(sorted(set(ids))) if ids else None


def _check_twice(shown: str, rows: Sequence[Mapping[str, object]]) -> None:
    places: dict[object, int] = {}
    for place, row in enumerate(rows, 1):
        first = places.setdefault(row["event_id"], place)
        if first != place:
            raise SettingsError(
                f"{shown}: event[{place}] tells the same kind, start and subject as "
                f"event[{first}]: keep one"
            )
