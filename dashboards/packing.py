"""Frames as few bytes, and JSON that may stand inside a script element."""

import json
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup, escape

# Digits of packed numbers; charts.js has the same.
SIGNS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-"
_HALF = len(SIGNS) // 2
# Decimals that a packed column may have; whole numbers beyond this stay as they are.
_PER, _MOST = (10, 100, 1000), 2**40


def write_json(value: object) -> Markup:
    """JSON that is safe inside a script element: ``<`` is written ``\\u003c``."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    for sign in ("<", "\u2028", "\u2029"):
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def pack_column(values: list[Any]) -> dict[str, Any]:
    """A column in its shortest of six forms.

    ``c``, ``n``: one constant and how often; ``r``: runs of a value; ``d``: runs of a difference
    (whole numbers); ``z``, ``p``: differences as signs (``write_steps``) of numbers with few
    decimals, times ``p``; ``k``, ``i``: different values and the place of each row's among them as
    such signs (texts); ``v``: the values. ``unpack_column`` and charts.js read them back.
    """
    if values and all(_same(v, values[0]) for v in values):
        return {"c": values[0], "n": len(values)}
    forms: list[dict[str, Any]] = [{"v": values}, {"r": _runs(values)}]
    if all(type(v) is int for v in values):
        forms.append({"d": _runs([b - a for a, b in zip([0, *values], values, strict=False)])})
    per = _per_of(values)
    if per:
        forms.append({"z": write_steps([round(v * per) for v in values]), "p": per})
    if all(type(v) is str for v in values):
        places = {value: place for place, value in enumerate(dict.fromkeys(values))}
        forms.append({"k": list(places), "i": write_steps([places[value] for value in values])})
    return min(forms, key=lambda form: len(json.dumps(form)))


def unpack_column(packed: dict[str, Any]) -> list[Any]:
    """The values of a packed column."""
    if "c" in packed:
        return [packed["c"]] * packed["n"]
    if "k" in packed:
        return [packed["k"][place] for place in _read_steps(packed["i"])]
    if "z" in packed:
        whole = _read_steps(packed["z"])
        return whole if packed["p"] == 1 else [value / packed["p"] for value in whole]
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


def _per_of(values: list[Any]) -> int | None:
    """What makes whole numbers of all values and gives them back by division; None: nothing."""
    if all(type(v) is int and abs(v) < _MOST for v in values):
        return 1
    if not all(type(v) is float and abs(v) < _MOST / _PER[-1] for v in values):
        return None
    is_back = (per for per in _PER if all(str(round(v * per) / per) == str(v) for v in values))
    return next(is_back, None)


def write_steps(values: list[int]) -> str:
    """Each difference to the value before, low digits first; all but its last are upper signs.

    2 d of a difference d from zero up, -2 d - 1 of one below, in digits of 32.
    """
    text, was = [], 0
    for value in values:
        step, was = value - was, value
        rest = 2 * step if step >= 0 else -2 * step - 1
        while rest >= _HALF:
            text.append(SIGNS[_HALF + rest % _HALF])
            rest //= _HALF
        text.append(SIGNS[rest])
    return "".join(text)


def _read_steps(text: str) -> list[int]:
    """The values behind ``write_steps``."""
    values, at, rest, unit = [], 0, 0, 1
    for sign in text:
        digit = SIGNS.index(sign)
        rest, unit = rest + unit * (digit % _HALF), unit * _HALF
        if digit < _HALF:
            at += -(rest + 1) // 2 if rest % 2 else rest // 2
            values.append(at)
            rest, unit = 0, 1
    return values


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
