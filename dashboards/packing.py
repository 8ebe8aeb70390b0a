"""Frames as few bytes, and JSON that may stand inside a script element."""

import json
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup, escape


def write_json(value: object) -> Markup:
    """JSON that is safe inside a script element: ``<`` is written ``\\u003c``."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    for sign in ("<", "\u2028", "\u2029"):
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def pack_column(values: list[Any]) -> dict[str, Any]:
    """A column in its shortest of five forms.

    ``c``, ``n``: one constant and how often; ``r``: runs of a value; ``d``: runs of a difference
    (whole numbers); ``k``, ``i``: different values and the place of each row's among them (texts);
    ``v``: the values. ``unpack_column`` and charts.js read them back.
    """
    if values and all(_same(v, values[0]) for v in values):
        return {"c": values[0], "n": len(values)}
    forms: list[dict[str, Any]] = [{"v": values}, {"r": _runs(values)}]
    if all(type(v) is int for v in values):
        forms.append({"d": _runs([b - a for a, b in zip([0, *values], values, strict=False)])})
    if all(type(v) is str for v in values):
        places = {value: place for place, value in enumerate(dict.fromkeys(values))}
        forms.append({"k": list(places), "i": [places[value] for value in values]})
    return min(forms, key=lambda form: len(json.dumps(form)))


def unpack_column(packed: dict[str, Any]) -> list[Any]:
    """The values of a packed column."""
    if "c" in packed:
        return [packed["c"]] * packed["n"]
    if "k" in packed:
        return [packed["k"][place] for place in packed["i"]]
    if "r" in packed:
        return [value for value, times in packed["r"] for _ in range(times)]
    if "d" in packed:
        at, values = 0, []
        for step, times in packed["d"]:
            for _ in range(times):
                at += step
                values.append(at)
        return values
    return packed["v"]


def _same(one: object, other: object) -> bool:
    return type(one) is type(other) and one == other


def _runs(values: list[Any]) -> list[list[Any]]:
    runs: list[list[Any]] = []
    for value in values:
        if runs and _same(runs[-1][0], value):
            runs[-1][1] += 1
        else:
            runs.append([value, 1])
    return runs


def pack_rows(rows: Sequence[Sequence[str | Markup]]) -> Markup:
    """Rows of a table's cells as packed columns of HTML texts, for a script element."""
    columns = zip(*rows, strict=True)
    return write_json([pack_column([str(escape(cell)) for cell in column]) for column in columns])


def pack_frame(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Rows of one shape as named columns, each packed."""
    names = list(rows[0]) if rows else []
    return {"names": names, "columns": [pack_column([row[n] for row in rows]) for n in names]}
