"""The shipped reference tables as frames, with the columns and types of the dictionary."""

import hashlib
from importlib import resources

import polars as pl

from pipeline.core.dictionary import schema_of

FILES = {
    "ref_muscle": "muscles.csv",
    "ref_exercise": "exercises.csv",
    "ref_contribution": "contributions.csv",
    "ref_alias": "aliases.csv",
    "ref_prior": "priors.csv",
    "ref_fact": "facts.csv",
    "ref_recovery": "recovery.csv",
    "ref_balance": "balance.csv",
    "ref_variant": "variants.csv",
}
# Where a row comes from is for those who review the file; the warehouse holds the role.
FILE_ONLY = {
    table: {"basis": pl.String()} for table in ("ref_contribution", "ref_balance", "ref_variant")
}


def load_muscles() -> pl.DataFrame:
    """Muscles and regions: columns of ``ref_muscle``, pages' order first, then the hidden ones."""
    return _read("ref_muscle")


def load_exercises() -> pl.DataFrame:
    """The shipped exercises: columns of ``ref_exercise``."""
    return _read("ref_exercise")


def load_contributions() -> pl.DataFrame:
    """Contributions as written in the file: ``exercise_id, muscle_id, role, basis``.

    ``muscle_id`` is the finest region that can be stated; see ``expand_contributions``.
    """
    return _read("ref_contribution")


def load_aliases() -> pl.DataFrame:
    """Names other than an exercise's own: columns of ``ref_alias``, lower case."""
    return _read("ref_alias")


def load_priors() -> pl.DataFrame:
    """Published weekly sets per muscle: columns of ``ref_prior``; ``any`` is the default row."""
    return _read("ref_prior")


def load_facts() -> pl.DataFrame:
    """Published comparisons shown beside the lifter's own: columns of ``ref_fact``."""
    return _read("ref_fact")


def load_recovery() -> pl.DataFrame:
    """Figures that the models reached on simulated careers: columns of ``ref_recovery``."""
    return _read("ref_recovery")


def load_balance() -> pl.DataFrame:
    """Which muscles and patterns are set against which, as written in the file."""
    return _read("ref_balance")


def load_variants() -> pl.DataFrame:
    """Movements in several set-ups, as written in the file."""
    return _read("ref_variant")


def expand_contributions(contributions: pl.DataFrame, muscles: pl.DataFrame) -> pl.DataFrame:
    """Contributions to every muscle and to every muscle it is a region of.

    A muscle counts direct if any of its regions does, else indirect if any does: one role for
    each exercise and muscle, so that a set is never counted twice for a muscle.

    Parameters
    ----------
    contributions : ``exercise_id, muscle_id, role``; further columns are dropped.
    muscles : ``muscle_id, parent_id``.

    Returns
    -------
    pl.DataFrame
        columns of ``ref_contribution``; exercises in the order given, each exercise's muscles in
        the order of ``muscles``.
    """
    parents = muscles.select("muscle_id", "parent_id")
    level = contributions.select("exercise_id", "muscle_id", "role")
    levels = []
    while level.height:
        levels.append(level)
        up = level.join(parents, on="muscle_id").filter(pl.col("parent_id").is_not_null())
        level = up.select("exercise_id", pl.col("parent_id").alias("muscle_id"), "role")
    exercises = contributions.select(pl.col("exercise_id").unique(maintain_order=True))
    return (
        pl.concat(levels)
        .group_by("exercise_id", "muscle_id")
        .agg(pl.col("role").min())  # "direct" sorts before "indirect"
        .join(exercises.with_row_index("exercise_row"), on="exercise_id")
        .join(muscles.select("muscle_id").with_row_index("muscle_row"), on="muscle_id")
        .sort("exercise_row", "muscle_row")
        .select("exercise_id", "muscle_id", "role")
    )


def reference_checksum() -> str:
    """Short hash of the shipped files: part of what makes a result reproducible."""
    digest = hashlib.sha256()
    for name in sorted(FILES.values()):
        digest.update(name.encode() + b"\0" + _bytes(name))
    return digest.hexdigest()[:8]


def _read(table: str) -> pl.DataFrame:
    schema = schema_of(table) | FILE_ONLY.get(table, {})
    frame = pl.read_csv(_bytes(FILES[table]), schema_overrides=schema)
    return frame.select(list(schema))


def _bytes(name: str) -> bytes:
    return resources.files("pipeline.reference").joinpath(name).read_bytes()
