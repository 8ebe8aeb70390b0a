"""Walking nested records along one chain of lists and mappings."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from pipeline.core.written import one_spaced
from pipeline.sources.documents import Documents, Node
from pipeline.sources.paths import ITEMS, KEY, write_path

Steps = tuple[str, ...]
Record = dict[str, str]
MOST_LISTED = 10  # paths named in a warning


@dataclass(frozen=True)
class Chain:
    """Which lists are followed.

    Parameters
    ----------
    levels : one after the other, each the steps from the item before to this list or mapping.
    named : the steps of every label that the map names; their keys are no data.
    parallel : first steps of lists that give one item each to a row: ``load[]`` and ``reps[]``.
    """

    levels: tuple[Steps, ...]
    named: frozenset[Steps] = frozenset()
    parallel: tuple[str, ...] = ()


@dataclass
class Flat:
    """``records`` by depth, each from label to text; ``rows`` are their places by depth (-1: none),
    ``places`` the paths to the rows."""

    records: list[list[Record]]
    rows: list[tuple[int, ...]] = field(default_factory=list)
    places: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def flatten(documents: Documents, chain: Chain) -> Flat:
    """One row for each item of the chain's last list; one, too, for what has no such item."""
    walk = _Walk(chain, documents.lines)
    walk.visit(documents.root, 0, (), Record(), "", ())
    if walk.unread:
        paths = sorted(walk.unread)
        told = ", ".join(paths[:MOST_LISTED]) + (" ..." if len(paths) > MOST_LISTED else "")
        walk.flat.warnings.append(f"not read, beside the records: {told}")
    return walk.flat


class _Walk:
    def __init__(self, chain: Chain, lines: tuple[int, ...] | None) -> None:
        self.chain, self.lines = chain, lines
        self.flat = Flat([[] for _ in range(len(chain.levels) + 1)])
        self.unread: set[str] = set()
        self.labels: dict[Steps, str] = {}
        # steps from the root to the container of each level, and keys there that are no data
        self.containers = [
            (*(step for before in chain.levels[:n] for step in before), *level[:-1])
            for n, level in enumerate(chain.levels)
        ]
        self.known = [_known_keys(steps, chain.named) for steps in self.containers]

    def visit(
        self, node: Node, depth: int, steps: Steps, record: Record, place: str, at: tuple[int, ...]
    ) -> None:
        """Keep the values of ``node`` and go on to the next list; ``record`` has its key."""
        self._keep(node, depth, steps, record)
        records = self.flat.records[depth]
        records.append(record)
        at = (*at, len(records) - 1)
        if depth < len(self.chain.levels):
            is_last = True
            for end, child_steps, own, child in self._children(node, depth):
                is_last = False
                self.visit(child, depth + 1, child_steps, own, self._place(place, end), at)
            if not is_last:
                return
        self.flat.rows.append((*at, *[-1] * (len(self.chain.levels) - depth)))
        self.flat.places.append(place or "the document")

    def _place(self, place: str, end: str) -> str:
        if not place and self.lines is not None and end.startswith("["):
            number = int(end[1 : end.index("]")])
            return f"line {self.lines[number]}"
        if not place:
            return end.removeprefix(".")
        is_line = self.lines is not None and "," not in place
        return f"{place}, {end.removeprefix('.')}" if is_line else f"{place}{end}"

    def _children(self, node: Node, depth: int) -> Iterator[tuple[str, Steps, Record, Node]]:
        """Items of the next list: end of their place, steps, record with the key, node."""
        if self.chain.parallel and depth == len(self.chain.levels) - 1:
            yield from self._pairs(node, depth)
            return
        level, container = self.chain.levels[depth], self.containers[depth]
        found = _follow(node, level[:-1])
        where = "".join(f".{step[1:]}" if step[0] == "." else step for step in level[:-1])
        if found is None:
            return
        steps = (*container, level[-1])
        if level[-1] == ITEMS:
            for number, item in enumerate(found if isinstance(found, list) else [found]):
                yield f"{where}[{number}]", steps, {}, item
        elif isinstance(found, dict):
            key_label = self._label((*container, KEY))
            for key, value in found.items():
                if one_spaced(key) not in self.known[depth]:
                    yield f"{where}.{key}", steps, {key_label: key}, value

    def _pairs(self, node: Node, depth: int) -> Iterator[tuple[str, Steps, Record, Node]]:
        """Items that stand at the same place of lists beside each other.

        Lists of different lengths give one row with each list as one text: which belongs to which
        is not known.
        """
        parent = self.containers[depth][:-1]
        lists = {}
        for name in self.chain.parallel:
            found = _follow(node, (name,))
            if found is not None:
                lists[(*parent, name, ITEMS)] = found if isinstance(found, list) else [found]
        if not lists:
            return
        if len({len(items) for items in lists.values()}) > 1:
            texts = {self._label(steps): _join(items) for steps, items in lists.items()}
            yield "", parent, {k: v for k, v in texts.items() if v}, None
            return
        for number, items in enumerate(zip(*lists.values(), strict=True)):
            own: Record = {}
            for steps, item in zip(lists, items, strict=True):
                self._keep(item, depth + 1, steps, own)
            yield f"[{number}]", parent, own, None

    def _keep(self, node: Node, depth: int, steps: Steps, record: Record) -> None:
        """Values of a node and of the mappings within it; lists of plain values as one text."""
        if isinstance(node, dict):
            for key, value in node.items():
                self._keep_value(value, depth, (*steps, f".{key}"), record)
        elif isinstance(node, str):
            self._put(record, steps, node)
        elif isinstance(node, list):
            self._keep_list(node, depth, steps, record)

    def _keep_value(self, value: Node, depth: int, steps: Steps, record: Record) -> None:
        if value is None or self._is_followed(value, depth, steps):
            return
        if isinstance(value, str):
            self._put(record, steps, value)
        else:
            self._keep(value, depth, steps, record)

    def _is_followed(self, value: Node, depth: int, steps: Steps) -> bool:
        """What ``_children`` gives as rows of their own."""
        if depth >= len(self.chain.levels):
            return False
        container, last = self.containers[depth], self.chain.levels[depth][-1]
        plain = tuple(f".{one_spaced(step[1:])}" if step[0] == "." else step for step in steps)
        if last == ITEMS:
            beside = (*container[:-1], plain[-1])
            is_beside = plain == beside and plain[-1] in self.chain.parallel
            return plain == container or (is_beside and bool(self.chain.parallel))
        is_entry = plain[:-1] == container
        return is_entry and plain[-1][1:] not in self.known[depth]

    def _keep_list(self, items: list[Node], depth: int, steps: Steps, record: Record) -> None:
        size = len(steps)
        if any(named[:size] == steps and _has_place(named[size:]) for named in self.chain.named):
            for number, item in enumerate(items):
                self._keep_value(item, depth, (*steps, f"[{number}]"), record)
            return
        if depth < len(self.chain.levels) and steps == self.containers[depth]:
            return
        text = _join(items)
        if text is not None:
            self._put(record, (*steps, ITEMS), text)
        elif items:
            self.unread.add(self._label((*steps, ITEMS)))

    def _put(self, record: Record, steps: Steps, text: str) -> None:
        label = self._label(steps)
        while label in record:
            label = f"{label} (2)"
        record[label] = text

    def _label(self, steps: Steps) -> str:
        if steps not in self.labels:
            self.labels[steps] = write_path(steps)
        return self.labels[steps]


def _has_place(steps: Steps) -> bool:
    return bool(steps) and steps[0][0] == "[" and steps[0] != ITEMS


def _known_keys(container: Steps, named: frozenset[Steps]) -> frozenset[str]:
    size = len(container)
    return frozenset(
        steps[size][1:]
        for steps in named
        if len(steps) > size and steps[:size] == container and steps[size][0] == "."
    )


def _follow(node: Node, steps: Steps) -> Node:
    for step in steps:
        if step[0] == "." and isinstance(node, dict):
            name = step[1:]
            node = node.get(name, next((v for k, v in node.items() if one_spaced(k) == name), None))
        elif step[0] == "[" and isinstance(node, list):
            place = int(step[1:-1])
            node = node[place] if place < len(node) else None
        else:
            return None
    return node


def _join(items: list[Node]) -> str | None:
    """A list of plain values as one text; None when it holds more than that."""
    if not all(item is None or isinstance(item, str) for item in items):
        return None
    return ", ".join(item for item in items if isinstance(item, str)) or None
