"""Turns the table that ``make recovery`` prints into the figures of the page Methods.

``python -m tests.recovery.keep DATE < printed.md`` writes ``pipeline/reference/recovery.csv``: one
row a figure, with the careers it was measured on and the day of the run (2026-11-25). Which figure
measures something left out (diet, hidden stress, equipment nobody declared) is told by its words.
"""

import csv
import re
import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path

TARGET = Path(__file__).parents[2] / "pipeline" / "reference" / "recovery.csv"
COLUMNS = (
    "model",
    "figure",
    "value",
    "standard_error",
    "n",
    "bar",
    "is_met",
    "case",
    "careers",
    "run_on",
)
SEEDS = re.compile(r"^(seeds \d+ to \d+)$")
CASES = {"diet": ("diet",), "stress": ("hidden stress",), "equipment": ("undeclared",)}
# The two halves of what ``measure_deload`` prints under one name.
LAYOFF = re.compile(r"layoff|return|loss|weeks off|back")


def read_rows(lines: Iterable[str], run_on: date) -> list[dict[str, object]]:
    """The rows of the printed table; a line that is no row of it is passed over."""
    careers, rows = "", []
    for line in lines:
        found = SEEDS.match(line.strip())
        careers = found.group(1) if found else careers
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == len(("model", "figure", "value", "error", "n", "bar", "met")):
            row = _row(cells, careers, run_on)
            rows += [] if row is None else [row]
    return rows


def _row(cells: list[str], careers: str, run_on: date) -> dict[str, object] | None:
    model, figure, value, error, n, bar, verdict = cells
    if not re.fullmatch(r"-?[\d.]+", value):
        return None  # the head of the table, its rule, or a figure that nothing was known of
    is_layoff = model == "deload" and LAYOFF.search(figure)
    return {
        "model": "layoff" if is_layoff else model,
        "figure": figure,
        "value": value,
        "standard_error": error if re.fullmatch(r"[\d.]+", error) else "",
        "n": n,
        "bar": bar,
        "is_met": {"met": "true", "NOT MET": "false"}.get(verdict, ""),
        "case": next((case for case, said in CASES.items() if _says(figure, said)), ""),
        "careers": careers,
        "run_on": run_on.isoformat(),
    }


def _says(figure: str, words: tuple[str, ...]) -> bool:
    return any(word in figure.lower() for word in words)


def main(day: str) -> None:
    """Write the file from standard input."""
    rows = read_rows(sys.stdin, date.fromisoformat(day))
    with TARGET.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"{len(rows)} figures kept in {TARGET.name}")


if __name__ == "__main__":
    main(sys.argv[1])
