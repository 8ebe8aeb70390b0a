"""A file as a person keeps it, and what should become of each of its records."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field

KEPT, BLANK, REPEATED = "kept", "blank", "repeated"
# Line 1 says that the file is invented, line 2 is the header.
FIRST_LINE = 3
NOTHING = ("", "-", "n/a")


@dataclass(frozen=True)
class Row:
    """One line. ``fate``: kept, blank, repeated, or the reason why it has to be set aside."""

    cells: tuple[str, ...]
    fate: str = KEPT


@dataclass
class Sheet:
    """One file of an inbox.

    ``measured``: places of the columns whose cells are records, for tables in which every cell is
    one; empty where a row is one.
    """

    path: str
    note: str
    labels: tuple[str, ...]
    rows: list[Row]
    separator: str = ","
    encoding: str = "utf-8"
    measured: tuple[int, ...] = field(default=())

    def to_bytes(self) -> bytes:
        """The file's content."""
        text = io.StringIO()
        text.write(f"# {self.note}\n")
        writer = csv.writer(text, delimiter=self.separator, lineterminator="\n")
        writer.writerow(self.labels)
        writer.writerows(row.cells for row in self.rows)
        return text.getvalue().encode(self.encoding)

    def count_records(self) -> dict[str, int]:
        """The row equation: read = kept + repeated + set_aside + blank."""
        fates = list(self._fates())
        kept, repeated, blank = (fates.count(fate) for fate in (KEPT, REPEATED, BLANK))
        return {
            "read": len(fates),
            "kept": kept,
            "repeated": repeated,
            "set_aside": len(fates) - kept - repeated - blank,
            "blank": blank,
        }

    def list_set_aside(self) -> list[dict[str, object]]:
        """File, line and reason of every record that has to be set aside."""
        return [
            {"file": self.path, "row": line, "reason": row.fate}
            for line, row in enumerate(self.rows, FIRST_LINE)
            if row.fate not in (KEPT, BLANK, REPEATED)
            for _ in range(self._n_records(row))
        ]

    def _fates(self) -> Iterator[str]:
        for row in self.rows:
            n = self._n_records(row)
            yield from [row.fate] * n
            yield from [BLANK] * (len(self.measured) - n if self.measured else 0)

    def _n_records(self, row: Row) -> int:
        if not self.measured:
            return 1
        return sum(row.cells[place] not in NOTHING for place in self.measured)
