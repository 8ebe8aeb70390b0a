"""Maps: the small TOML files that say how a file is read, and which map reads which file."""

import hashlib
import unicodedata
from collections.abc import Callable, Iterable
from datetime import date
from fnmatch import fnmatchcase
from itertools import pairwise
from pathlib import Path
from typing import Any

from pipeline.core.errors import InputError, SettingsError
from pipeline.core.home import Home
from pipeline.core.json_schema import check_entries, load_schema
from pipeline.core.settings import read_toml
from pipeline.core.source import OrderChange, SignalColumn, SourceFile, SourceMap
from pipeline.core.written import one_spaced
from pipeline.sources.broken_map import broken_map
from pipeline.sources.spread import OF_A_SET

# Fields without which a kind of table cannot be read.
NEEDED = {
    "sets": ("date", "exercise", "reps"),
    "exercises": ("date", "exercise", "sets"),
    "wide": ("date",),
    "signals": ("date",),
    "notes": (),
    "standard": (),
    "intervals": ("date", "interval"),
}
# Years in which a record may begin; the same limits as those of ``dates.first_year``.
FIRST_YEARS = (1950, 2199)
# Kinds of file in which no load stands.
WITHOUT_LOAD = ("signals", "standard", "intervals")
# A set without repetitions is one that was timed or measured.
INSTEAD_OF_REPS = ("duration_s", "distance_m")
# Units in which a signal may be written, by how its name starts or ends.
SIGNAL_UNITS = {
    "rating_": ("points",),
    "_min": ("min", "h", "h:mm"),
    "_bpm": ("bpm",),
    "_ms": ("ms",),
    "_kg": ("kg", "lb"),
    "_cm": ("cm", "in"),
    "steps": ("steps",),
}


def read_maps(home: Home, tell: Callable[[str], None] | None = None) -> list[SourceMap]:
    """Every map in ``maps/``, by name.

    Parameters
    ----------
    tell : is told of a map that cannot be used; a broken one then stands in for it, so that no
        wider map takes its files. None: it is an error.

    Raises
    ------
    SettingsError
        naming the map file, the key, its value and what is allowed.
    """
    if not home.maps.is_dir():
        return []
    maps: list[SourceMap] = []
    for path in sorted(home.maps.glob("*.toml")):
        try:
            maps.append(read_map(path))
        except SettingsError as error:
            if tell is None:
                raise
            tell(f"{error}; until then its files are not read")
            maps.append(broken_map(path))
    return maps


def read_map(path: Path) -> SourceMap:
    """One map; see ``schemas/map.schema.json`` for its keys.

    Raises
    ------
    SettingsError
        as for ``read_maps``.
    """
    shown = f"maps/{path.name}"
    entries: dict[str, Any] = read_toml(path, shown)
    check_entries(shown, entries, load_schema("pipeline.sources", "map.schema.json"))
    found = _build_map(path.stem, entries, hashlib.sha256(path.read_bytes()).hexdigest()[:12])
    _check_fields(shown, found)
    _check_units(shown, found)
    return found


def _build_map(name: str, entries: dict[str, Any], checksum: str) -> SourceMap:
    table, dates = entries["table"], entries.get("dates", {})
    units, load = entries.get("units", {}), entries.get("load", {})
    signals = entries.get("signals", {})
    columns = {field: _labels(told) for field, told in entries.get("columns", {}).items()}
    return SourceMap(
        name=name,
        kind=table["kind"],
        globs=tuple(entries["match"]["globs"]),
        lifters=tuple(entries["match"].get("lifters", ["*"])),
        columns={field: labels[0] for field, labels in columns.items()},
        more={field: labels[1:] for field, labels in columns.items() if len(labels) > 1},
        separator=table.get("separator"),
        decimal=table.get("decimal", "."),
        header_row=table.get("header_row", 1),
        encoding=table.get("encoding"),
        skip_columns=tuple(one_spaced(label) for label in table.get("skip_columns", ())),
        warmups=table.get("warmups", "as written"),
        signals=tuple(
            SignalColumn(one_spaced(label), entry["signal"], entry["unit"])
            for label, entry in signals.items()
        ),
        date_order=dates.get("order", "ymd"),
        order_changes=_order_changes(name, dates.get("changes", ())),
        year_from=dates.get("year_from"),
        first_year=dates.get("first_year"),
        first_day=_first_day(name, dates.get("first_day")),
        comments=tuple(entries.get("lines", {}).get("comments", ())),
        unit=units.get("load"),
        unit_changes=_sort_changes(name, _unit_changes(name, units.get("changes", ()))),
        load_basis=load.get("basis", "by exercise"),
        bar_kg=float(load.get("bar_kg", 20.0)),
        bars_kg=tuple((name, float(kg)) for name, kg in sorted(load.get("bars", {}).items())),
        plates=load.get("plates"),
        plate_kg=load.get("plate_kg"),
        notation_order=entries.get("notation", {}).get("order"),
        sheets=tuple(table.get("sheets", ())),
        fill_down=tuple(table.get("fill_down", ())),
        checksum=checksum,
    )


def _labels(told: str | list[str]) -> tuple[str, ...]:
    return tuple(one_spaced(label) for label in ([told] if isinstance(told, str) else told))


def _first_day(name: str, told: date | str | None) -> date | None:
    try:
        day = date.fromisoformat(told) if isinstance(told, str) else told
    except ValueError:
        day = date.min
    if day is not None and not FIRST_YEARS[0] <= day.year <= FIRST_YEARS[1]:
        raise SettingsError(
            f"maps/{name}.toml: dates.first_day = {told}: no day of {FIRST_YEARS[0]} to "
            f"{FIRST_YEARS[1]}; write 2018-01-01"
        )
    return day


def _unit_changes(name: str, changes: Iterable[dict[str, Any]]) -> Iterable[tuple[date, str]]:
    for change in changes:
        day = change["from"]
        try:
            yield (day if isinstance(day, date) else date.fromisoformat(day)), change["load"]
        except ValueError:
            raise SettingsError(
                f"maps/{name}.toml: units.changes from = {day!r}: no such day; write 2018-01-01"
            ) from None


def _order_changes(name: str, changes: Iterable[dict[str, Any]]) -> tuple[OrderChange, ...]:
    found = sorted((OrderChange(**change) for change in changes), key=lambda one: one.from_row)
    for one, following in pairwise(found):
        if one.from_row == following.from_row:
            told = f"two from row {one.from_row}: keep one"
            raise SettingsError(f"maps/{name}.toml: dates.changes: {told}")
    return tuple(found)


def _sort_changes(name: str, changes: Iterable[tuple[date, str]]) -> tuple[tuple[date, str], ...]:
    found = tuple(sorted(changes))
    for (day, _), (following, _) in pairwise(found):
        if day == following:
            raise SettingsError(f"maps/{name}.toml: units.changes: two from {day}: keep one")
    return found


def _check_fields(shown: str, found: SourceMap) -> None:
    for field in NEEDED[found.kind]:
        instead = INSTEAD_OF_REPS if field == "reps" else ()
        if not any(name in found.columns for name in (field, *instead)):
            raise SettingsError(
                f'{shown}: kind = "{found.kind}" needs columns.{field}: '
                f'add [columns] {field} = "<label in the file>"'
            )
    if found.kind == "signals" and not found.signals:
        raise SettingsError(
            f'{shown}: kind = "signals" needs at least one measured column: '
            'add [signals."<label>"] signal = "sleep_min", unit = "h"'
        )
    for field in found.fill_down:
        if field not in found.columns:
            raise SettingsError(
                f'{shown}: table.fill_down = {field!r}: add [columns] {field} = "<label>", or '
                "take it out of fill_down"
            )
    for field in OF_A_SET:
        n = len(found.more.get(field, ()))
        if n and "load" in found.more and n != len(found.more["load"]):
            raise SettingsError(
                f"{shown}: columns.{field} lists {n + 1} labels, columns.load "
                f"{len(found.more['load']) + 1}: one of each for every set"
            )
        if n and field in ("rir", "rpe") and "load" not in found.more:
            raise SettingsError(f"{shown}: columns.{field} lists labels: so must columns.load")
    if found.warmups == "by rule" and "is_warmup" in found.columns:
        raise SettingsError(
            f'{shown}: warmups = "by rule" beside columns.is_warmup: keep one of the two'
        )


def _check_units(shown: str, found: SourceMap) -> None:
    if found.kind not in WITHOUT_LOAD and found.unit is None and "unit" not in found.columns:
        raise SettingsError(
            f'{shown}: no unit of load: add [units] load = "kg" or "lb", or columns.unit'
        )
    for column in found.signals:
        allowed = next(
            units
            for part, units in SIGNAL_UNITS.items()
            if column.signal.endswith(part) or column.signal.startswith(part)
        )
        if column.unit not in allowed:
            raise SettingsError(
                f'{shown}: signals."{column.label}": {column.signal} cannot be in {column.unit}: '
                f"write one of {', '.join(allowed)}"
            )


def choose_map(file: SourceFile, maps: Iterable[SourceMap]) -> SourceMap | None:
    """The map with the most specific pattern that matches ``file``; None when none matches.

    A map that names the lifter goes before one for all; then the pattern with more literal
    characters. ``*`` also crosses folders; upper and lower case are the same.

    Raises
    ------
    InputError
        when two maps match equally.
    """
    ranked = sorted(
        ((rank, one) for one in maps if (rank := _specificity(file, one)) is not None),
        key=lambda pair: (pair[0], pair[1].name),
    )
    if not ranked:
        return None
    best, found = ranked[-1]
    rivals = [one.name for rank, one in ranked if rank == best]
    if len(rivals) > 1:
        raise InputError(
            file.shown,
            None,
            f"maps {', '.join(rivals)} match it equally",
            "make the glob of one more specific, or name the lifter in it",
        )
    return found


def _specificity(file: SourceFile, one: SourceMap) -> tuple[int, int] | None:
    if file.lifter_id not in one.lifters and "*" not in one.lifters:
        return None
    path = _fold(file.path)
    literal = [
        sum(char not in "*?[]" for char in glob)
        for glob in one.globs
        if fnmatchcase(path, _fold(glob))
    ]
    return (int(file.lifter_id in one.lifters), max(literal)) if literal else None


def _fold(text: str) -> str:
    """One spelling of accents and letter case: the same name may be stored in two ways."""
    return unicodedata.normalize("NFC", text).casefold()
