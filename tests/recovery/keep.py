"""Turns the table that ``make recovery`` prints into the figures of the page Methods.

``python -m tests.recovery.keep DATE < printed.md`` writes ``pipeline/reference/recovery.csv``: one
row a figure, with the careers it was measured on and the day of the run (2026-11-25). Models that
the table does not name keep the rows they have, so that one can be measured again alone. Which
figure measures something left out (diet, hidden stress, equipment nobody declared) is told by its
words.
"""

import csv
import re
import sys
from collections.abc import Iterable, Sequence
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
PRINTED = ("model", "figure", "value", "error", "n", "bar", "met")
SEEDS = re.compile(r"^(seeds \d+ to \d+)$")
CASES = {"diet": ("diet",), "stress": ("hidden stress",), "equipment": ("undeclared",)}
# The two halves of what ``measure_deload`` prints under one name.
LAYOFF = re.compile(r"layoff|return|loss|weeks off|back")


def read_rows(lines: Iterable[str], run_on: date) -> list[dict[str, object]]:
    """The rows of the printed table; a line that is no row of it is passed over.

    Raises
    ------
    ValueError
        for a row of another number of cells: its figure would be lost without a word.
    """
    careers, rows = "", []
    for line in lines:
        found = SEEDS.match(line.strip())
        careers = found.group(1) if found else careers
        if not line.startswith("|"):
            continue
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) != len(PRINTED):
            raise ValueError(
                f"{line.strip()}: {len(cells)} cells, {len(PRINTED)} expected: "
                "take the | out of the figure's name"
            )
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


def renew_rows(
    kept: Sequence[dict[str, object]], rows: Sequence[dict[str, object]]
) -> list[dict[str, object]]:
    """``kept`` with the figures of each model measured now in the place of its earlier ones; those
    of a model that had none at the end."""
    waiting = {row["model"]: [one for one in rows if one["model"] == row["model"]] for row in rows}
    measured, renewed = set(waiting), list[dict[str, object]]()
    for row in kept:
        if row["model"] in measured:
            renewed += waiting.pop(row["model"], [])
        else:
            renewed.append(row)
    return renewed + [row for fresh in waiting.values() for row in fresh]


def main(day: str) -> None:
    """Write the file from standard input."""
    rows = read_rows(sys.stdin, date.fromisoformat(day))
    with TARGET.open(encoding="utf-8", newline="") as file:
        kept: list[dict[str, object]] = [dict(row) for row in csv.DictReader(file)]
    with TARGET.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(renew_rows(kept, rows))
    print(f"{len(rows)} figures renewed in {TARGET.name}")


if __name__ == "__main__":
    main(sys.argv[1])
