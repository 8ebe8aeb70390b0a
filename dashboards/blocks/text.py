"""What a page says: sentences, equations and the answer."""

from dataclasses import dataclass
from typing import ClassVar

from markupsafe import Markup

Text = str | Markup


@dataclass(frozen=True)
class Prose:
    """Paragraphs with an optional heading."""

    template: ClassVar[str] = "prose"
    paragraphs: tuple[Text, ...]
    title: str = ""


@dataclass(frozen=True)
class Equations:
    """Equations, one a line, as trusted markup, and what their letters mean."""

    template: ClassVar[str] = "equations"
    title: str
    lines: tuple[Text, ...]
    where: Text


@dataclass(frozen=True)
class Answer:
    """The page's answer: one or two sentences with number, interval, n or support.

    ``<b>`` marks what decides. ``second``: what carries it and what does not. With a control there
    is one answer for each of its values: ``param`` and ``value`` say which; the first one stands
    until another is chosen.
    """

    sentence: Text
    second: Text
    param: str = ""
    value: str = ""
