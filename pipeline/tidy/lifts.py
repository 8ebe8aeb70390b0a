"""Exercise names to exercises, and what the reference says of how an exercise is loaded."""

import re
from typing import TYPE_CHECKING

import polars as pl

from pipeline.tidy.texts import look_up

if TYPE_CHECKING:  # spelling distance is loaded by those who make the index
    from pipeline.tidy.names import NameIndex

UNMATCHED = "unmatched:"
_ODD = re.compile(r"[^\w]+")
# A label that stood in a header twice was numbered when it was read.
_NUMBERED = re.compile(r" \(\d+\)$")

NAME_SCHEMA: dict[str, pl.DataType] = {
    "exercise_as_written": pl.String(),
    "exercise_id": pl.String(),
    "certainty": pl.Float64(),
    "how": pl.String(),
    "candidates": pl.String(),
    "angle_in_name": pl.Float64(),
    "position_in_name": pl.String(),
    "side_in_name": pl.String(),
}
LOADED_AS = ("default_load_basis", "laterality", "equipment")


def match_names(written: pl.Series, names: "NameIndex") -> pl.DataFrame:
    """One row a distinct name: what it was taken for, and the set-up that is written in it.

    A name without a match keeps its sets under ``unmatched:<name>``.
    """
    rows = []
    for name in written.unique().drop_nulls().sort().to_list():
        plain = _NUMBERED.sub("", name)
        match = names.resolve(plain)
        rows.append(
            {
                "exercise_as_written": name,
                "exercise_id": match.exercise_id or unmatched_id(plain),
                "certainty": match.certainty,
                "how": match.how,
                "candidates": " ".join(match.candidates),
                "angle_in_name": match.angle_deg,
                "position_in_name": match.position,
                "side_in_name": match.side,
            }
        )
    return pl.DataFrame(rows, schema=NAME_SCHEMA)


def unmatched_id(name: str) -> str:
    """The id of a name that no exercise was found for."""
    return UNMATCHED + (_ODD.sub("_", name.casefold()).strip("_") or "name")


def add_exercise(
    sets: pl.DataFrame, matches: pl.DataFrame, exercises: pl.DataFrame
) -> pl.DataFrame:
    """Add ``exercise_id`` and how the exercise is loaded, null where it is not known.

    An angle, position or side written in the name holds where the row says none.

    Parameters
    ----------
    exercises : table ``ref_exercise``, the lifter's own exercises included.
    """
    known = matches.drop("certainty", "how", "candidates").join(
        exercises.select("exercise_id", *LOADED_AS), on="exercise_id", how="left"
    )
    joined = look_up(sets, "exercise_as_written", known)
    return joined.with_columns(
        pl.coalesce("angle_deg", "angle_in_name").alias("angle_deg"),
        pl.coalesce("position", "position_in_name").alias("position"),
        pl.coalesce("side", "side_in_name").alias("side"),
    )
