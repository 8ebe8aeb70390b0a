"""Every text that the pages ask for exists, none is left over, and what is filled in is escaped."""

import re
import tomllib
from pathlib import Path

import pytest

from dashboards import words

DASHBOARDS = Path(words.__file__).parent
TEXTS = {
    file.stem: tomllib.loads(file.read_text("utf-8"))
    for file in sorted((DASHBOARDS / "languages" / "en").glob("*.toml"))
}
SOURCES = {
    str(file.relative_to(DASHBOARDS)): file.read_text("utf-8")
    for pattern in ("**/*.py", "assets/*.html", "assets/*.js")
    for file in sorted(DASHBOARDS.glob(pattern))
}
ALL_SOURCE = "\n".join(SOURCES.values())
ASKED = re.compile(r'(?:say|plain|word|has)\(\s*"([a-z_]+)\.([a-z_0-9]+)"')


@pytest.mark.parametrize("file", SOURCES)
def test_every_text_asked_for_exists(file: str) -> None:
    asked = ASKED.findall(SOURCES[file])
    assert [f"{part}.{name}" for part, name in asked if name not in TEXTS.get(part, {})] == []


@pytest.mark.parametrize("part", TEXTS)
def test_no_text_is_left_over(part: str) -> None:
    assert [name for name in TEXTS[part] if not _is_used(part, name)] == []


def _is_used(part: str, name: str) -> bool:
    """Named in full, the head of a column (``heads_of``), or matched by a key that the source puts
    together: ``record.key_{name}``."""
    if part == "script":
        return f"words.{name}" in ALL_SOURCE or f'add("{name}"' in ALL_SOURCE
    if part == "constants":
        return any(f"{{{name}}}" in text for texts in TEXTS.values() for text in texts.values())
    is_headed = f'heads_of, "{part}"' in ALL_SOURCE or f'heads_of("{part}"' in ALL_SOURCE
    if is_headed and name.startswith("col_") and f'"{name.removeprefix("col_")}"' in ALL_SOURCE:
        return True
    asked = re.findall(rf'"{part}\.([a-z_0-9]*(?:{{[^}}]+}}[a-z_0-9]*)*)"', ALL_SOURCE)
    patterns = [re.sub(r"{[^}]+}", r"\\w+", key) for key in asked]
    # A key that is nothing but a value proves no use by itself: its words stand in the source.
    is_listed = f'"{name}"' in ALL_SOURCE
    return any(re.fullmatch(p, name) and (p != r"\w+" or is_listed) for p in patterns)


def test_what_is_filled_in_is_escaped_and_the_text_itself_is_not() -> None:
    said = words.say(
        "record.answer_within_a_year", span="<i>&", sets=1, sessions=2, now=3, where=""
    )
    assert "&lt;i&gt;&amp;" in said
    assert "<b>1 working sets</b>" in said
    assert (
        words.plain("frame.nothing", name="<b>")
        == "Nothing that lies in the inbox now was read for <b>."
    )


def test_an_unknown_text_says_where_it_was_looked_for() -> None:
    with pytest.raises(KeyError, match=r"no text 'nope' in languages/en/record.toml"):
        words.say("record.nope")
