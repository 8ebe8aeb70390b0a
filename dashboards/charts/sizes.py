"""Sizes of drawings, per breakpoint, in px."""

from dataclasses import dataclass


@dataclass(frozen=True)
class HorizonSize:
    """Width, height of the strip and of the whole with its years, weeks on the axis."""

    width: int
    strip: int
    height: int
    weeks: int
