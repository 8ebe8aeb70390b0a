"""The models in ``sql/``: one select per file, run in the order of what each reads.

A model file starts with two comment lines: its grain, and the tables it reads. Its name is the
name of the table it makes. A file in ``sql/checks`` starts with what must hold instead of a grain
and selects the rows for which it does not.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from importlib import resources
from importlib.resources.abc import Traversable

HEAD = re.compile(r"-- (?P<kind>grain|holds): (?P<says>.+)\n-- reads: (?P<reads>.+)\n")
CHECKS = "checks"


@dataclass(frozen=True)
class SqlModel:
    """One SQL file.

    ``stage`` is its folder below ``sql/`` ("calendar", "marts/set", "marts/session",
    "marts/week", "checks"); ``says`` is its grain or, for a check, what must hold.
    """

    name: str
    stage: str
    says: str
    reads: tuple[str, ...]
    query: str


def parse_model(name: str, stage: str, text: str) -> SqlModel:
    """The model in ``text``.

    Raises
    ------
    ValueError
        when the two comment lines at its head are missing.
    """
    head = HEAD.match(text)
    wanted = "holds" if stage == CHECKS else "grain"
    if head is None or head["kind"] != wanted:
        raise ValueError(
            f"sql/{stage}/{name}.sql starts with {text[:40]!r}: "
            f"begin with '-- {wanted}: ...' and '-- reads: table, table'"
        )
    reads = tuple(table.strip() for table in head["reads"].split(","))
    return SqlModel(name, stage, head["says"], reads, text.strip().removesuffix(";"))


def read_models() -> tuple[SqlModel, ...]:
    """Every model that makes a table, each after those it reads."""
    return in_order([model for model in _read_files() if model.stage != CHECKS])


def read_checks() -> tuple[SqlModel, ...]:
    """Every test of whole tables in ``sql/checks``, by name."""
    return tuple(model for model in _read_files() if model.stage == CHECKS)


def in_order(models: Sequence[SqlModel]) -> tuple[SqlModel, ...]:
    """``models`` so that each follows those it reads; by name where the order is free.

    Raises
    ------
    ValueError
        naming the models that read each other in a circle.
    """
    by_name = {model.name: model for model in sorted(models, key=lambda model: model.name)}
    graph = {name: [t for t in model.reads if t in by_name] for name, model in by_name.items()}
    try:
        return tuple(by_name[name] for name in TopologicalSorter(graph).static_order())
    except CycleError as error:
        circle = " -> ".join(error.args[1])
        raise ValueError(f"SQL models read each other: {circle}: cut one of these") from None


def _read_files() -> Iterator[SqlModel]:
    for folder, file in _walk(resources.files("sql"), ""):
        yield parse_model(file.name.removesuffix(".sql"), folder, file.read_text("utf-8"))


def _walk(folder: Traversable, path: str) -> Iterator[tuple[str, Traversable]]:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.is_dir() and not entry.name.startswith("_"):
            yield from _walk(entry, f"{path}/{entry.name}".removeprefix("/"))
        elif entry.name.endswith(".sql"):
            yield path, entry
