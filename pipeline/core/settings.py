"""Settings: the shipped thresholds and what a user's settings.toml changes."""

import difflib
import hashlib
import json
import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources
from pathlib import Path

from pipeline.core.errors import SettingsError
from pipeline.core.page_book import LifterInfo

TOP_KEYS = ("schema", "lifter", "thresholds")
LIFTER_KEYS = ("name", "training_began", "unit", "consent")
SCHEMA_VERSION = 1


@dataclass(frozen=True)
class Threshold:
    """One shipped threshold: value with unit, limits, reason and source."""

    name: str
    value: float
    unit: str
    low: float
    high: float
    reason: str
    source: str


@dataclass(frozen=True)
class Settings:
    """Lifters and thresholds in force."""

    lifters: tuple[LifterInfo, ...]
    thresholds: dict[str, float]
    changed: tuple[str, ...]

    def __getitem__(self, name: str) -> float:
        return self.thresholds[name]

    def lifter(self, lifter_id: str) -> LifterInfo:
        """The lifter with that id."""
        return next(one for one in self.lifters if one.lifter_id == lifter_id)

    @property
    def checksum(self) -> str:
        """Short hash of everything that settings can change in a result."""
        who = [(one.lifter_id, one.name, str(one.training_began), one.unit) for one in self.lifters]
        text = json.dumps([who, self.thresholds], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:8]


@cache
def default_thresholds() -> dict[str, Threshold]:
    """The shipped thresholds by name."""
    text = resources.files("pipeline.core").joinpath("settings.defaults.toml").read_text("utf-8")
    return {name: Threshold(name, **entry) for name, entry in tomllib.loads(text).items()}


def default_settings(lifters: tuple[LifterInfo, ...] = ()) -> Settings:
    """Shipped thresholds with the given lifters: for tests and for those who come from Python."""
    values = {name: entry.value for name, entry in default_thresholds().items()}
    return Settings(lifters, values, ())


def read_toml(path: Path) -> dict[str, object]:
    """A TOML file as a dictionary.

    Raises
    ------
    SettingsError
        with file and line when it is missing or not TOML.
    """
    try:
        return tomllib.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        remedy = "make a folder with 'liftstrata init FOLDER'"
        raise SettingsError(f"{path.name} is not in {path.parent}: {remedy}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsError(f"{path.name}: not valid TOML: {error}: mend that line") from None


def read_settings(path: Path) -> Settings:
    """The settings in force.

    Raises
    ------
    SettingsError
        naming the key, its value, the limit and the remedy.
    """
    entries = read_toml(path)
    reject_unknown(path.name, "", entries, TOP_KEYS)
    if entries.get("schema") != SCHEMA_VERSION:
        raise SettingsError(
            f"{path.name}: schema = {entries.get('schema')!r}: this version reads schema = 1"
        )
    lifters = _read_lifters(path.name, _section(path.name, entries, "lifter"))
    changed = _read_thresholds(path.name, _section(path.name, entries, "thresholds"))
    values = {name: entry.value for name, entry in default_thresholds().items()} | changed
    return Settings(lifters, values, tuple(sorted(changed)))


def reject_unknown(
    file: str, place: str, entries: dict[str, object], known: tuple[str, ...]
) -> None:
    """Raise on the first key that is not known, naming the nearest known one."""
    for key in entries:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.0)[0]
            where = f"{place}.{key}" if place else key
            raise SettingsError(f"{file}: unknown key {where}: did you mean {near}?")


def _section(file: str, entries: dict[str, object], key: str) -> dict[str, object]:
    found = entries.get(key, {})
    if not isinstance(found, dict):
        raise SettingsError(f"{file}: {key} = {found!r}: write it as a table [{key}]")
    return found


def _read_lifters(file: str, section: dict[str, object]) -> tuple[LifterInfo, ...]:
    if not section:
        raise SettingsError(f"{file}: no lifter: add [lifter.<id>] with training_began")
    return tuple(_read_lifter(file, key, entry) for key, entry in section.items())


def _read_lifter(file: str, lifter_id: str, entry: object) -> LifterInfo:
    place = f"lifter.{lifter_id}"
    if not isinstance(entry, dict):
        raise SettingsError(f"{file}: {place} = {entry!r}: write it as a table [{place}]")
    reject_unknown(file, place, entry, LIFTER_KEYS)
    began = entry.get("training_began")
    if type(began) is not date:
        raise SettingsError(
            f"{file}: {place}.training_began = {began!r}: write a date without quotes, 2014-03-01"
        )
    unit = entry.get("unit", "kg")
    if unit not in ("kg", "lb"):
        raise SettingsError(f"{file}: {place}.unit = {unit!r}: write kg or lb")
    consent = entry.get("consent", False)
    if not isinstance(consent, bool):
        raise SettingsError(f"{file}: {place}.consent = {consent!r}: write true or false")
    return LifterInfo(lifter_id, str(entry.get("name", lifter_id)), began, str(unit), consent)


def _read_thresholds(file: str, section: dict[str, object]) -> dict[str, float]:
    defaults = default_thresholds()
    reject_unknown(file, "thresholds", section, tuple(defaults))
    changed: dict[str, float] = {}
    for name, value in section.items():
        entry = defaults[name]
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise SettingsError(f"{file}: thresholds.{name} = {value!r}: write a number")
        if not entry.low <= value <= entry.high:
            raise SettingsError(
                f"{file}: thresholds.{name} = {value:g} {entry.unit}: "
                f"between {entry.low:g} and {entry.high:g} is allowed"
            )
        if value != entry.value:
            changed[name] = float(value)
    return changed
