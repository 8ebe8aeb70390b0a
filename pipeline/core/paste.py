"""Lines of ``corrections.toml``, ready to paste: what a page or command proposes."""

import json
from collections.abc import Mapping, Sequence


def correction_lines(
    file: str,
    row: int | str,
    doubt: Mapping[str, str | None],
    why: str,
    *,
    may_stand: bool,
) -> str:
    """A ``[[correction]]`` of one cell.

    Parameters
    ----------
    file : path inside the inbox, with the lifter's folder.
    row : row number in the file, or the place of the row where the file has no lines.
    doubt : ``column``, ``expect`` (the cell as it stands) and ``value`` (as it may be meant; None
        where nothing is proposed: the lines do nothing until a person writes or confirms it;
        "" where a measured value cannot be: the lines then leave it out).
    may_stand : the cell may be confirmed as it is; False where it cannot be read, so that its row
        was set aside.
    """
    column, expect, value = doubt["column"], doubt["expect"], doubt["value"]
    meant = f"value = {_quote(expect if value is None else value)}"
    if value is None:
        confirm = ", or take the first # away to confirm this" if may_stand else ""
        meant = f"# {meant}  # write what is meant{confirm}"
    elif not value:
        meant += "  # counts as not recorded: better write what is meant"
    return "\n".join(
        (
            "[[correction]]",
            f"file = {_quote(file)}",
            f"row = {row if isinstance(row, int) else _quote(row)}",
            f"column = {_quote(column)}",
            f"expect = {_quote(expect)}",
            meant,
            f"why = {_quote(why)}",
        )
    )


def copies_lines(files: Sequence[str], keep: str, why: str) -> str:
    """A ``[[copies]]`` that says which of two files counts, or "both"."""
    listed = ", ".join(_quote(one) for one in dict.fromkeys(files))
    return "\n".join(
        (
            "[[copies]]",
            f"files = [{listed}]",
            f"keep = {_quote(keep)}",
            f"why = {_quote(why)}",
        )
    )


def _quote(text: str | None) -> str:
    """A TOML string on one line; JSON escapes the same characters but for one."""
    return json.dumps(text or "", ensure_ascii=False).replace("\x7f", "\\u007F")
