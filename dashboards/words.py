"""Every sentence that a page may say, read from ``languages/<language>/<page>.toml``.

A translation is a folder with the same files and keys. Texts may carry ``<b>``; what is filled in
is always escaped, so a hostile exercise name or note can only ever show as text. A number may bring
its noun, of one and of many: ``{n:set|sets}``. Figures of models
and rules (``constants``) may be named in any text. Language, units and signs are those of the style
in which pages are being written (``written``); every page is drawn inside one.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib import resources

from babel import Locale
from markupsafe import Markup

from dashboards.constants import CONSTANTS
from pipeline.core.page_style import DEFAULT_STYLE, PageStyle

_STYLE: ContextVar[PageStyle] = ContextVar("style", default=DEFAULT_STYLE)
# The point in the name of a paper (10.1007/...) is no decimal sign.
_SIGNS = re.compile(r"(?<=\d)[.,](?=\d)(?!\d{4,}/)")
# A place with the noun that it counts, of one and of many.
_COUNTED = re.compile(r"\{(\w+):([^{}|]*)\|([^{}|]*)\}")
# Of two signs, decimals have one and thousands the other.
_OTHER = {".": ",", ",": "."}
# Figures are written with these in the program and in English.
ENGLISH_DECIMAL = "."


@contextmanager
def written(style: PageStyle) -> Iterator[None]:
    """Whatever is said inside is said in this style."""
    token = _STYLE.set(style)
    try:
        yield
    finally:
        _STYLE.reset(token)


def style() -> PageStyle:
    """The style in which pages are being written."""
    return _STYLE.get()


def locale() -> Locale:
    """Names of months and days, signs of numbers."""
    return Locale.parse(style().language)


def decimal_sign() -> str:
    """The sign before decimals: of the style, else of its language."""
    return style().decimal or _decimal_of(style().language)


@cache
def _decimal_of(language: str) -> str:
    return Locale.parse(language).number_symbols["latn"]["decimal"]


def with_signs(text: str, was: str = ENGLISH_DECIMAL) -> str:
    """Figures in ``text`` with the decimal sign of the style; before, it was ``was``."""
    if decimal_sign() == was:
        return text
    return _SIGNS.sub(lambda found: _OTHER[found.group()], text)


@cache
def _texts(language: str, part: str) -> dict[str, str]:
    file = resources.files("dashboards").joinpath("languages", language, f"{part}.toml")
    return tomllib.loads(file.read_text("utf-8"))


def _text(key: str) -> str:
    part, name = key.split(".", 1)
    language = style().language
    texts = _texts(language, part)
    if name not in texts:
        raise KeyError(f"no text {name!r} in languages/{language}/{part}.toml")
    return with_signs(texts[name], _decimal_of(language))


def constants() -> dict[str, str]:
    """The figures that any text may name; those in words are of the language."""
    return _constants_in(style())


@cache
def _constants_in(chosen: PageStyle) -> dict[str, str]:
    with written(chosen):
        figures = {name: with_signs(figure) for name, figure in CONSTANTS.items()}
    return figures | _texts(chosen.language, "constants")


def with_counted(text: str, values: Mapping[str, object]) -> str:
    """``{n:set|sets}`` becomes the place with the noun of its value: {n} set or {n} sets."""
    return _COUNTED.sub(
        lambda found: f"{{{found[1]}}} {found[2 if str(values[found[1]]) == '1' else 3]}", text
    )


def plain(key: str, **values: object) -> str:
    """The text ``part.name`` with its values filled in, for charts and attributes.

    Raises
    ------
    KeyError
        when the language file has no such text.
    """
    filled = constants() | values
    return with_counted(_text(key), filled).format(**filled)


def say(key: str, **values: object) -> Markup:
    """The text ``part.name`` as markup: its own tags stand, every value filled in is escaped."""
    filled = constants() | values
    return Markup(with_counted(_text(key), filled)).format(**filled)


def has(key: str) -> bool:
    """Whether there is a text ``part.name``."""
    part, name = key.split(".", 1)
    return name in _texts(style().language, part)


def script_words() -> dict[str, object]:
    """The few texts that the page's own script needs, with months and signs."""
    months = locale().months
    return {
        **{name: with_signs(text) for name, text in _texts(style().language, "script").items()},
        "months": list(months["stand-alone"]["wide"].values()),
        "short_months": list(months["format"]["abbreviated"].values()),
        "date": date_template(),
        "decimal": decimal_sign(),
    }


def date_template() -> str:
    """A date with the places {day}, {month} (short name), {year}, or {iso}."""
    order = style().date_format
    return "{iso}" if order == "iso" else _text(f"numbers.date_{order}")
