"""The shape of unknown nested records: where the lists are, and which keys are data."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from pipeline.sources.documents import Documents, Node
from pipeline.sources.draft_cells import SHORTHAND
from pipeline.sources.draft_labels import is_sure_label
from pipeline.sources.draft_records import Readers
from pipeline.sources.flatten import Chain
from pipeline.sources.paths import ITEMS, VALUES

MOST_LOOKED_AT = 3000  # items of a list or mapping, spread over all of it
MOST_CHAINS = 24
DATA_SHARE = 0.6  # share of keys that are days or exercises
MANY_KEYS = 40  # distinct keys, each in few of the mappings: no fields of a record
RARELY = 0.3
MOST_PLACES = 12  # values of a list that is a row of a table


@dataclass
class Shape:
    """What stands at one path, over all its occurrences.

    ``keys`` are fields with their shapes; ``values`` the shape of what stands under keys that are
    data; ``items`` that of the items of lists; ``lengths`` of those lists.
    """

    n: int = 0
    n_texts: int = 0
    keys: dict[str, "Shape"] = field(default_factory=dict)
    values: "Shape | None" = None
    items: "Shape | None" = None
    lengths: Counter[int] = field(default_factory=Counter)

    @property
    def is_row(self) -> bool:
        """Always as many plain values: in a list of such lists each is a row of a table."""
        items = self.items
        if items is None or len(self.lengths) != 1:
            return False
        return 1 < next(iter(self.lengths)) <= MOST_PLACES and items.n_texts == items.n > 0

    @property
    def has_data_keys(self) -> bool:
        """Here or in a mapping within, keys are data."""
        return self.values is not None or any(one.has_data_keys for one in self.keys.values())


def find_shape(documents: Documents, readers: Readers, is_day: Callable[[str], bool]) -> Shape:
    """The shape of a file's records."""
    return _shape([documents.root], readers, is_day)


def list_chains(shape: Shape) -> list[Chain]:
    """Every way of following the lists, the shortest first."""
    found = list(_chains(shape, (), ((),), frozenset()))
    found.sort(key=lambda chain: len(chain.levels))
    return found[:MOST_CHAINS]


def _shape(nodes: list[Node], readers: Readers, is_day: Callable[[str], bool]) -> Shape:
    nodes = [node for node in _spread(nodes) if node is not None]
    shape = Shape(len(nodes), sum(isinstance(node, str) for node in nodes))
    lists = [node for node in nodes if isinstance(node, list)]
    if lists:
        shape.lengths.update(len(node) for node in lists)
        shape.items = _shape([item for node in lists for item in node], readers, is_day)
    mappings = [node for node in nodes if isinstance(node, dict)]
    by_key: dict[str, list[Node]] = {}
    for node in mappings:
        for key, value in node.items():
            by_key.setdefault(key, []).append(value)
    data = _data_keys(by_key, len(mappings), readers, is_day)
    for key, values in by_key.items():
        if key not in data:
            shape.keys[key] = _shape(values, readers, is_day)
    if data:
        under = [value for key, values in by_key.items() if key in data for value in values]
        shape.values = _shape(under, readers, is_day)
    return shape


def _spread(nodes: list[Node]) -> list[Node]:
    if len(nodes) <= MOST_LOOKED_AT:
        return nodes
    step = len(nodes) / MOST_LOOKED_AT
    return [nodes[int(i * step)] for i in range(MOST_LOOKED_AT)]


def _data_keys(
    by_key: dict[str, list[Node]], n: int, readers: Readers, is_day: Callable[[str], bool]
) -> set[str]:
    """Keys that are days, exercises or numbers; beside them, fields of their own may stand."""
    keys = list(by_key)
    fields = {key for key in keys if is_sure_label(key)}
    others = [key for key in keys if key not in fields]
    if not others:
        return set()
    if sum(map(is_day, others)) >= DATA_SHARE * len(others):
        return {key for key in others if is_day(key)}
    lifts = [key for key in others if _holds_sets(by_key[key]) and readers.knows(key)]
    with_sets = [key for key in others if _holds_sets(by_key[key])]
    if lifts and len(lifts) >= (1 - DATA_SHARE) * len(with_sets):
        return set(with_sets)
    if all(key.isdigit() for key in others):
        return set(others)
    rare = n > 1 and sum(map(len, by_key.values())) < RARELY * n * len(keys)
    return set(others) if len(others) > MANY_KEYS and rare else set()


def _holds_sets(values: list[Node]) -> bool:
    """A list, a mapping or shorthand: what stands under the name of an exercise."""
    found = [value for value in values[:50] if value is not None]
    return bool(found) and all(
        not isinstance(value, str) or SHORTHAND.search(value) for value in found
    )


def _chains(
    shape: Shape,
    levels: tuple[tuple[str, ...], ...],
    paths: tuple[tuple[str, ...], ...],
    named: frozenset[tuple[str, ...]],
) -> Iterator[Chain]:
    """Chains below a shape; ``paths``: the steps since the last level, and before them all."""
    step, before = paths[-1], tuple(s for level in levels for s in level)
    here = (*before, *step)
    if shape.values is not None:
        named = named | {(*here, f".{key}") for key in shape.keys}
    is_row = shape.is_row and bool(levels) and levels[-1][-1] == ITEMS and not step
    if not step and not shape.has_data_keys:
        yield Chain(levels, named | (_places(shape, here) if is_row else frozenset()))
    beside = [
        f".{key}"
        for key, one in shape.keys.items()
        if one.items is not None and one.items.n_texts == one.items.n > 0
    ]
    if len(beside) > 1:
        first = (*step, beside[0], ITEMS)
        yield Chain((*levels, first), named, tuple(beside))
    if shape.items is not None and not is_row:
        yield from _chains(shape.items, (*levels, (*step, ITEMS)), ((),), named)
    if shape.values is not None:
        yield from _chains(shape.values, (*levels, (*step, VALUES)), ((),), named)
    for key, one in shape.keys.items():
        if one.n_texts < one.n:
            yield from _chains(one, levels, ((*step, f".{key}"),), named)


def _places(shape: Shape, here: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    """Steps of the places of a row."""
    return frozenset((*here, f"[{n}]") for n in range(next(iter(shape.lengths))))
