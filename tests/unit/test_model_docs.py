"""Every model says what it asks, assumes and refuses, and where it comes from."""

import ast
import re
from pathlib import Path

import pytest

MODELS = Path(__file__).parents[2] / "pipeline" / "models"
# The models that answer a question of a finding, or what they are read from.
ANSWERING = (
    "strength/lift_level",
    "strength/muscle_index",
    "strength/slopes",
    "volume/pool",
    "volume/hold",
    "volume/trend",
    "narrowing/blocks",
    "narrowing/counts",
    "pauses/deload",
    "pauses/deload_detect",
    "pauses/layoff",
    "strength/weekly_strength",
    "signals/effect",
    "forecast/predict",
    "mixed",
    "trend",
    "strength/time_product",
    "balance/ratios",
    "effort/blocks",
    "injury/course",
    "variants/carry",
)
SOURCE = re.compile(r"derivation|METHODS|et al|\bread\b|memory|EPA|practice")


def public_functions(tree: ast.Module) -> list[ast.FunctionDef]:
    return [one for one in tree.body if isinstance(one, ast.FunctionDef) and one.name[0] != "_"]


def read(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


FILES = sorted(MODELS.rglob("*.py"))


def place_of(path: Path) -> str:
    return path.relative_to(MODELS).with_suffix("").as_posix()


@pytest.mark.parametrize("name", ANSWERING)
def test_a_model_states_question_assumptions_source_and_refusal(name):
    tree = read(MODELS / f"{name}.py")
    parts = [ast.get_docstring(one) or "" for one in (tree, *public_functions(tree))]
    said = " ".join(parts)
    assert "Question:" in said
    assert SOURCE.search(said)
    assert re.search(r"\bassum|\bAssum", said)
    assert re.search(r"\brefus|\bRefus", said)
    assert re.search(r"\(n|\(m,|``[A-Z]\w+``", said)


@pytest.mark.parametrize("path", FILES, ids=place_of)
def test_every_public_function_has_a_docstring(path):
    assert [f.name for f in public_functions(read(path)) if not ast.get_docstring(f)] == []
