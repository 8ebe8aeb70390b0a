"""Every sentence that a page may say, read from ``languages/<language>/<page>.toml``.

A translation is a folder with the same files and keys. Texts may carry ``<b>``; what is filled in
is always escaped, so a hostile exercise name or note can only ever show as text. Figures of models
and rules (``constants``) may be named in any text.
"""

import tomllib
from functools import cache
from importlib import resources

from markupsafe import Markup

from dashboards.constants import CONSTANTS

LANGUAGE = "en"


@cache
def _texts(part: str) -> dict[str, str]:
    file = resources.files("dashboards").joinpath("languages", LANGUAGE, f"{part}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def plain(key: str, **values: object) -> str:
    """The text ``part.name`` with its values filled in, for charts and attributes.

    Raises
    ------
    KeyError
        when the language file has no such text.
    """
    part, name = key.split(".", 1)
    texts = _texts(part)
    if name not in texts:
        raise KeyError(f"no text {name!r} in languages/{LANGUAGE}/{part}.toml")
    return texts[name].format(**(CONSTANTS | values))


def say(key: str, **values: object) -> Markup:
    """The text ``part.name`` as markup: its own tags stand, every value filled in is escaped."""
    part, name = key.split(".", 1)
    texts = _texts(part)
    if name not in texts:
        raise KeyError(f"no text {name!r} in languages/{LANGUAGE}/{part}.toml")
    return Markup(texts[name]).format(**(CONSTANTS | values))


def has(key: str) -> bool:
    """Whether there is a text ``part.name``."""
    part, name = key.split(".", 1)
    return name in _texts(part)


def script_words() -> dict[str, str]:
    """The few texts that the page's own script needs."""
    return dict(_texts("script"))
