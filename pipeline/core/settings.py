"""Settings: the shipped thresholds and what a user's settings.toml changes."""

import hashlib
import json
import re
import tomllib
from dataclasses import asdict, dataclass
from datetime import date
from functools import cache
from importlib import resources
from pathlib import Path

from pipeline.core.calendar import DEFAULT_WEEK_STARTS, WEEKDAYS
from pipeline.core.errors import SettingsError, nearest
from pipeline.core.next_phase import NO_WISHES, read_next_phase
from pipeline.core.page_book import LifterInfo
from pipeline.core.page_style import CHOICES, DEFAULT_STYLE, PageStyle, read_page_style

TOP_KEYS = ("schema", "week_starts", "lifter", "thresholds", "pages")
LIFTER_KEYS = ("name", "training_began", "unit", "consent", "next_phase", "week_starts")
SCHEMA_VERSION = 1
# A lifter's id names folders of the inbox, the journal and the pages.
MOST_ID = 64
MOST_NAME = 100
WEEK_STARTS = "week_starts"
WEEK_STARTS_PLACE = (
    "it moves every weekly number, so it stands with who is counted: under [lifter.NAME], or for "
    "all lifters right below schema, above every table"
)
_LIFTER_ID = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_-]*")
# No training began before; an earlier year is a slip of the pen.
EARLIEST_YEAR = 1930


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
    """Lifters and thresholds in force, and how pages are written."""

    lifters: tuple[LifterInfo, ...]
    thresholds: dict[str, float]
    changed: tuple[str, ...]
    pages: PageStyle = DEFAULT_STYLE

    def __getitem__(self, name: str) -> float:
        return self.thresholds[name]

    def lifter(self, lifter_id: str) -> LifterInfo:
        """The lifter with that id."""
        return next(one for one in self.lifters if one.lifter_id == lifter_id)

    @property
    def checksum(self) -> str:
        """Short hash of everything that settings can change in a result."""
        who = [
            (
                *(one.lifter_id, one.name, str(one.training_began), one.unit),
                *(asdict(one.next_phase), one.week_starts),
            )
            for one in self.lifters
        ]
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


def read_toml(path: Path, shown: str | None = None) -> dict[str, object]:
    """A TOML file as a dictionary.

    Parameters
    ----------
    shown : the file as the user knows it, when that is more than its name.

    Raises
    ------
    SettingsError
        with file and line when it is missing, cannot be read or is not TOML.
    """
    shown = shown or path.name
    text = read_user_text(path, shown)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(f"{shown}: not valid TOML: {error}: mend that line") from None


def read_user_text(path: Path, shown: str) -> str:
    """The text of one of the user's own files, a byte order mark left out, ``\\n`` at line ends.

    Raises
    ------
    SettingsError
        when it is missing, is no file, may not be read or is not UTF-8.
    """
    try:
        if path.exists() and not path.is_file():  # a folder; or a pipe, on which reading waits
            raise SettingsError(f"{shown}: not a file: remove it or put the file there")
        data = path.read_bytes()
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        value = f"byte {data[error.start]:#04x} is not UTF-8"
        raise SettingsError(f"{shown} line {line}: {value}: save the file as UTF-8") from None
    except FileNotFoundError:
        remedy = "put it there, or make a folder with 'liftstrata init FOLDER'"
        raise SettingsError(f"{shown}: no such file in {path.parent}: {remedy}") from None
    except OSError as error:
        remedy = "put the file there, with the right to read it"
        raise SettingsError(f"{shown}: {error.strerror}: {remedy}") from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def is_there(path: Path) -> bool:
    """Something of that name is there, even a link that leads nowhere: never to be passed over."""
    return path.exists() or path.is_symlink()


def read_settings(path: Path) -> Settings:
    """The settings in force.

    Raises
    ------
    SettingsError
        naming the key, its value, the limit and the remedy.
    """
    entries = read_toml(path)
    reject_unknown(path.name, "", entries, TOP_KEYS)
    schema = entries.get("schema")
    if type(schema) is not int or schema != SCHEMA_VERSION:
        raise SettingsError(f"{path.name}: schema = {schema!r}: this version reads schema = 1")
    week_starts = _read_week_starts(path.name, "", entries, DEFAULT_WEEK_STARTS)
    lifters = _read_lifters(path.name, _section(path.name, entries, "lifter"), week_starts)
    changed = _read_thresholds(path.name, _section(path.name, entries, "thresholds"))
    values = {name: entry.value for name, entry in default_thresholds().items()} | changed
    pages = _section(path.name, entries, "pages")
    reject_unknown(path.name, "pages", pages, tuple(CHOICES))
    style = read_page_style(path.name, pages)
    return Settings(lifters, values, tuple(sorted(changed)), style)


def reject_unknown(
    file: str, place: str, entries: dict[str, object], known: tuple[str, ...]
) -> None:
    """Raise on the first key that is not known, naming the nearest known one.

    Below any other table a line for all lifters belongs to that table, by the rules of TOML, and no
    nearest key of that table would be what was meant: the message names the places it may stand in.
    """
    for key in entries:
        if key not in known:
            where = f"{place}.{key}" if place else key
            if key == WEEK_STARTS:
                raise SettingsError(f"{file}: {where} = {entries[key]!r}: {WEEK_STARTS_PLACE}")
            raise SettingsError(f"{file}: unknown key {where}: did you mean {nearest(key, known)}?")


def is_lifter_id(text: str) -> bool:
    """``text`` can name a lifter's folders on any file system."""
    return len(text) <= MOST_ID and _LIFTER_ID.fullmatch(text) is not None


def _section(file: str, entries: dict[str, object], key: str) -> dict[str, object]:
    found = entries.get(key, {})
    if not isinstance(found, dict):
        raise SettingsError(f"{file}: {key} = {found!r}: write it as a table [{key}]")
    return found


def _read_lifters(
    file: str, section: dict[str, object], week_starts: str
) -> tuple[LifterInfo, ...]:
    if not section:
        raise SettingsError(f"{file}: no lifter: add [lifter.<id>] with training_began")
    all_lifters = section.get(WEEK_STARTS)
    if all_lifters is not None and not isinstance(all_lifters, dict):
        shown = f"lifter.{WEEK_STARTS} = {all_lifters!r}"
        raise SettingsError(f"{file}: {shown}: {WEEK_STARTS_PLACE}")
    folded: dict[str, str] = {}
    for key in section:
        twin = folded.setdefault(key.casefold(), key)
        if twin != key:
            raise SettingsError(f"{file}: lifter.{key} beside lifter.{twin}: rename one of them")
    return tuple(_read_lifter(file, key, entry, week_starts) for key, entry in section.items())


def _read_lifter(file: str, lifter_id: str, entry: object, week_starts: str) -> LifterInfo:
    place = f"lifter.{lifter_id}"
    if not is_lifter_id(lifter_id):
        raise SettingsError(
            f"{file}: lifter.{lifter_id!r}: an id of at most {MOST_ID} letters a to z, digits, - "
            "and _, as the inbox folder is called; any name goes into its name"
        )
    if not isinstance(entry, dict):
        raise SettingsError(f"{file}: {place} = {entry!r}: write it as a table [{place}]")
    reject_unknown(file, place, entry, LIFTER_KEYS)
    began = entry.get("training_began")
    if type(began) is not date:
        raise SettingsError(
            f"{file}: {place}.training_began = {began!r}: write a date without quotes, 2014-03-01"
        )
    if began.year < EARLIEST_YEAR:
        raise SettingsError(
            f"{file}: {place}.training_began = {began}: {EARLIEST_YEAR} or later: correct the year"
        )
    unit = entry.get("unit", "kg")
    if unit not in ("kg", "lb"):
        raise SettingsError(f"{file}: {place}.unit = {unit!r}: write kg or lb")
    consent = entry.get("consent", False)
    if not isinstance(consent, bool):
        raise SettingsError(f"{file}: {place}.consent = {consent!r}: write true or false")
    name = entry.get("name", lifter_id)
    if not isinstance(name, str) or not name.strip() or len(name) > MOST_NAME:
        shown = repr(name)[:60]
        raise SettingsError(f"{file}: {place}.name = {shown}: write 1 to {MOST_NAME} characters")
    wishes = NO_WISHES
    if "next_phase" in entry:
        wishes = read_next_phase(file, lifter_id, entry["next_phase"])
    own_week = _read_week_starts(file, f"{place}.", entry, week_starts)
    return LifterInfo(lifter_id, name, began, str(unit), consent, wishes, own_week)


def _read_week_starts(file: str, place: str, entries: dict[str, object], otherwise: str) -> str:
    """The weekday that weeks start on, or what holds where none is told."""
    value = entries.get(WEEK_STARTS, otherwise)
    if not isinstance(value, str) or value not in WEEKDAYS:
        meant = nearest(str(value).casefold(), WEEKDAYS)
        raise SettingsError(
            f"{file}: {place}{WEEK_STARTS} = {value!r}: write a weekday in English, small letters: "
            f'did you mean "{meant}"?'
        )
    return value


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
