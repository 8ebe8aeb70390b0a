"""Checks a user's TOML file against its JSON Schema, with one plain line for the first fault."""

import json
from functools import cache
from importlib import resources

from pipeline.core.errors import SettingsError
from pipeline.core.settings import reject_unknown


@cache
def load_schema(package: str, name: str) -> dict[str, object]:
    """The JSON Schema ``schemas/<name>`` of a package."""
    text = resources.files(package).joinpath("schemas", name).read_text("utf-8")
    return json.loads(text)


def check_entries(file: str, entries: dict[str, object], schema: dict[str, object]) -> None:
    """Check what a TOML file holds; dates are compared in their ISO form.

    Raises
    ------
    SettingsError
        naming the key, its value and what is allowed; for an unknown key, the nearest known one.
    """
    from jsonschema import Draft202012Validator  # 0.1 s: only where a file is checked

    plain = json.loads(json.dumps(entries, default=str))
    errors = sorted(
        Draft202012Validator(schema).iter_errors(plain),
        key=lambda error: list(map(str, error.path)),
    )
    for error in errors:
        place = _place(error.absolute_path)
        if error.validator == "additionalProperties":
            reject_unknown(file, place, error.instance, tuple(error.schema["properties"]))
        hint = error.schema.get("description") or error.message
        if error.validator == "required":
            hint = error.message
        value = json.dumps(error.instance, ensure_ascii=False)
        shown = value if len(value) <= 60 else value[:57] + "..."
        raise SettingsError(f"{file}: {place or 'file'} = {shown}: {hint}")


def _place(path: object) -> str:
    """``columns.date``, ``units.changes[1].from``: a key's place as a person writes it."""
    text = ""
    for part in path:  # type: ignore[attr-defined]
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text
