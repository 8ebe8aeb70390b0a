"""JSON text to values and back: strictly, and with the digits of numbers kept."""

import json
from decimal import Decimal
from typing import Any

from pipeline.sources.json_pairs import make_object

# Nesting beyond this is no document of any standard.
MOST_DEPTH = 100
SPACE = " \t\r\n"


class NoJsonError(ValueError):
    """What stands here is not JSON: its line and the reason."""


def parse(text: str) -> Any:
    """One JSON value; a name that stands twice in an object, NaN and the like are faults."""
    try:
        content = make_decoder().decode(text.strip(SPACE))
    except json.JSONDecodeError as error:
        raise NoJsonError(1, f"not JSON: {error.msg}, character {error.pos + 1}") from None
    except ValueError as error:
        raise NoJsonError(1, str(error)) from None
    except RecursionError:
        raise NoJsonError(1, "nested too deep") from None
    if depth_of(content) > MOST_DEPTH:
        raise NoJsonError(1, f"nested more than {MOST_DEPTH} deep")
    return content


def make_decoder() -> json.JSONDecoder:
    """Reads numbers with a fraction as ``Decimal``; rejects NaN and names that stand twice."""
    return json.JSONDecoder(
        parse_float=Decimal, parse_constant=_reject_constant, object_pairs_hook=make_object
    )


def _reject_constant(word: str) -> Any:
    raise ValueError(f"{word} is no number of JSON")


def depth_of(content: Any) -> int:
    """How deep lists and objects lie in one another, without recursion."""
    depth, level = 0, [content]
    while level and depth <= MOST_DEPTH:
        depth += 1
        level = [
            part
            for one in level
            if isinstance(one, dict | list)
            for part in (one.values() if isinstance(one, dict) else one)
        ]
    return depth


def write(content: Any) -> str:
    """A parsed document as JSON on one line."""
    return json.dumps(content, ensure_ascii=False, default=_write_number)


def _write_number(value: object) -> float:
    assert isinstance(value, Decimal)
    return float(value)
