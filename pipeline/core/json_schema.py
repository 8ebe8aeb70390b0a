"""Checks a user's TOML file against its JSON Schema, with one plain line for the first fault."""

import json
import math
from collections.abc import Iterable, Iterator
from datetime import date, time
from functools import cache
from importlib import resources
from typing import Any

from pipeline.core.errors import SettingsError
from pipeline.core.settings import reject_unknown

# What to write where a schema says no more than the type.
WANTED = {
    "object": "write it as a table, [name] or {key = value}",
    "array": "write it as a list [...] or as blocks [[name]]",
    "string": "write it in quotes",
}


class _Day(str):
    """A date or time that stands in the file without quotes, in its ISO form."""

    __slots__ = ()


@cache
def load_schema(package: str, name: str) -> dict[str, object]:
    """The JSON Schema ``schemas/<name>`` of a package."""
    text = resources.files(package).joinpath("schemas", name).read_text("utf-8")
    return json.loads(text)


def check_entries(file: str, entries: dict[str, object], schema: dict[str, object]) -> None:
    """Check what a TOML file holds; dates are compared in their ISO form, where a pattern asks for
    one, and are no text anywhere else.

    Raises
    ------
    SettingsError
        naming the key, its value and what is allowed; for an unknown key, the nearest known one.
    """
    plain = _plain(entries)
    errors = sorted(
        _validator()(schema).iter_errors(plain),
        key=lambda error: list(map(str, error.path)),
    )
    for error in errors:
        place = _place(error.absolute_path)
        if error.validator == "additionalProperties":
            reject_unknown(file, place, error.instance, tuple(error.schema["properties"]))
        if error.validator == "required":
            raise SettingsError(f"{file}: {_missing(place, error.instance, error.schema)}")
        hint = error.schema.get("description") or WANTED.get(error.schema.get("type"))
        value = json.dumps(error.instance, ensure_ascii=False)
        shown = value if len(value) <= 60 else value[:57] + "..."
        raise SettingsError(f"{file}: {place} = {shown}: {hint or error.message}")
    _reject_no_number(file, "", plain)


@cache
def _validator() -> Any:
    from jsonschema import Draft202012Validator, ValidationError  # 0.1 s: only where it is needed
    from jsonschema.validators import extend

    told = Draft202012Validator.VALIDATORS["type"]

    def check_type(validator: Any, types: Any, instance: object, schema: Any) -> Iterator[Any]:
        if isinstance(instance, _Day) and "pattern" not in schema:
            yield ValidationError(WANTED["string"])
        else:
            yield from told(validator, types, instance, schema) or ()

    return extend(Draft202012Validator, {"type": check_type})


def _plain(value: object) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    return _Day(value.isoformat()) if isinstance(value, date | time) else value


def _missing(place: str, entries: dict[str, object], schema: dict[str, Any]) -> str:
    """Which key is missing where, and what it should hold."""
    key = next(one for one in schema["required"] if one not in entries)
    wanted = schema["properties"].get(key, {})
    hint = wanted.get("description") or WANTED.get(wanted.get("type"))
    where = f"{place}.{key}" if place else key
    return f"{where} is missing: add it" + (f": {hint}" if hint else "")


def _reject_no_number(file: str, place: str, value: object) -> None:
    """TOML has ``nan``, which passes every limit because it is neither below nor above one."""
    if isinstance(value, float) and math.isnan(value):
        raise SettingsError(f"{file}: {place} = nan: write a number")
    parts: Iterable[tuple[object, object]] = ()
    if isinstance(value, dict):
        parts = value.items()
    elif isinstance(value, list):
        parts = enumerate(value)
    for key, part in parts:
        _reject_no_number(file, _place([*([place] if place else []), key]), part)


def _place(path: object) -> str:
    """``columns.date``, ``units.changes[1].from``: a key's place as a person writes it."""
    text = ""
    for part in path:  # type: ignore[attr-defined]
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text
