"""The walls of the house: who may import whom, and where each heavy library lives.

The table is that of DEVELOPERS.md. Read from the code's own imports, inside functions too.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
EVERYTHING = {"*"}

# Folder: what of this project it may import besides itself.
LAYERS = {
    "pipeline/core": set(),
    "pipeline/reference": {"pipeline.core"},
    "pipeline/sources": {"pipeline.core"},
    "pipeline/tidy": {"pipeline.core"},
    "pipeline/store": {"pipeline.core"},
    "pipeline/checks": {"pipeline.core"},
    "pipeline/models": {"pipeline.core"},
    "pipeline/findings": {"pipeline.core", "pipeline.models"},
    "pipeline/demo": {"pipeline.core", "pipeline.models", "pipeline.reference"},
    "pipeline/flows": EVERYTHING,
    "pipeline/cli": EVERYTHING,
    "dashboards": {"pipeline.core"},
    "sql": set(),
}

# Library: the folders that may import it.
HOMES = {
    "prefect": {"pipeline/flows"},
    "duckdb": {"pipeline/store"},
    "altair": {"dashboards"},
    "vl_convert": {"dashboards"},
    "great_expectations": {"pipeline/checks"},
    "pandas": {"pipeline/checks"},
    "typer": {"pipeline/cli"},
    "scipy": {"pipeline/models"},
    "python_calamine": {"pipeline/sources"},
    "yaml": {"pipeline/sources"},
    "statsmodels": set(),
}
NOT_IN_MODELS = {"polars", "pathlib", "time", "random", "os"}


def _folder_of(path: Path) -> str:
    parts = path.relative_to(ROOT).parts
    return "/".join(parts[:2]) if parts[0] == "pipeline" else parts[0]


def _files() -> list[Path]:
    return [
        path
        for top in ("pipeline", "dashboards", "sql")
        for path in sorted((ROOT / top).rglob("*.py"))
        if path.parent != ROOT / "pipeline"
    ]


def _imports(path: Path) -> Iterator[str]:
    """Full names of the modules a file imports, relative ones resolved."""
    package = ".".join(path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package.rsplit(".", node.level - 1)[0] if node.level else ""
            yield ".".join(part for part in (base, node.module) if part)


def _wrong_imports(path: Path) -> list[str]:
    folder = _folder_of(path)
    allowed, own = LAYERS[folder], folder.replace("/", ".")
    wrong = []
    for name in _imports(path):
        top = name.split(".")[0]
        if top in HOMES and folder not in HOMES[top]:
            wrong.append(f"{name} belongs to {sorted(HOMES[top]) or 'the tests'}")
        if folder == "pipeline/models" and top in NOT_IN_MODELS:
            wrong.append(f"{name}: models take arrays and know no files, clock or frames")
        is_ours = top in ("pipeline", "dashboards", "sql")
        if is_ours and allowed is not EVERYTHING and not name.startswith((own, *allowed)):
            wrong.append(f"{name} lies above or beside {folder}")
    return wrong


@pytest.mark.parametrize("path", _files(), ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_keep_to_the_layers(path: Path):
    assert _wrong_imports(path) == []


def test_every_folder_has_its_place_in_the_table():
    found = {_folder_of(path) for path in _files()}
    assert found == set(LAYERS)


@pytest.mark.parametrize(
    ("place", "line", "complaint"),
    [
        ("pipeline/tidy", "import duckdb", "belongs to"),
        ("dashboards", "from pipeline.store.warehouse import read_table", "lies above"),
        ("pipeline/models", "import polars", "models take arrays"),
        ("pipeline/sources", "from pipeline.flows import run", "lies above"),
    ],
)
def test_a_forbidden_import_is_found(monkeypatch, tmp_path, place, line, complaint):
    monkeypatch.setattr(f"{__name__}.ROOT", tmp_path)
    path = tmp_path / place / "odd.py"
    path.parent.mkdir(parents=True)
    path.write_text(line, "utf-8")
    assert complaint in "; ".join(_wrong_imports(path))


def test_no_file_has_grown_past_its_size():
    tall = {
        str(path.relative_to(ROOT)): lines
        for path in [*_files(), *sorted((ROOT / "tests").rglob("*.py"))]
        if (lines := path.read_text("utf-8").count("\n")) > 400
    }
    assert tall == {}
