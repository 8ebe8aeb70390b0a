"""How the pages are written: ``[pages]`` in settings.toml; the warehouse stays as it is.

The weekday that weeks start on is none of it, since it moves every weekly sum: it is a setting of
the lifter, and whoever writes it here is told where it belongs.
"""

from dataclasses import dataclass

from pipeline.core.errors import SettingsError, nearest

# What each key may be; the first is the default, "" stands for what it is taken from.
CHOICES: dict[str, tuple[str, ...]] = {
    "language": ("en", "de"),
    "units": ("", "kg", "lb"),
    "body_weight": ("", "kg", "lb"),
    "date_format": ("day_month", "month_day", "iso"),
    "decimal": ("", ".", ","),
}


@dataclass(frozen=True)
class PageStyle:
    """Language, units and signs of the pages.

    Attributes
    ----------
    language : of every text.
    units : of loads; "": of each lifter. body_weight : of body weight; "": as the loads.
    date_format : order of day, month and year, or ``iso`` (2026-03-01).
    decimal : sign before decimals; "": that of the language. The other sign parts thousands.
    """

    language: str = "en"
    units: str = ""
    body_weight: str = ""
    date_format: str = "day_month"
    decimal: str = ""


DEFAULT_STYLE = PageStyle()


def read_page_style(file: str, entries: dict[str, object]) -> PageStyle:
    """The style of a table ``[pages]``.

    Raises
    ------
    SettingsError
        for a value that is not known, naming the nearest one.
    """
    for key, value in entries.items():
        allowed = [one for one in CHOICES[key] if one]
        if value in allowed:
            continue
        place = f"{file}: pages.{key} = {value!r}"
        meant = nearest(str(value), allowed)
        known = " or ".join(f'"{one}"' for one in allowed)
        raise SettingsError(f'{place}: write {known}: did you mean "{meant}"?')
    return PageStyle(**{key: str(value) for key, value in entries.items()})
