"""The reference as one run uses it: shipped tables with the lifter's own exercises merged in."""

from dataclasses import dataclass

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.reference.load import (
    expand_contributions,
    load_aliases,
    load_balance,
    load_contributions,
    load_exercises,
    load_facts,
    load_muscles,
    load_priors,
    load_recovery,
    load_variants,
)
from pipeline.reference.own import (
    EXERCISE_COLUMNS,
    NEW_EXERCISE,
    NUMBERS,
    OWN_COLUMNS,
    ROLES,
    check_direct,
    check_own,
    muscle_ids,
    to_number,
)


@dataclass(frozen=True, eq=False)
class Reference:
    """The reference tables, columns as in the dictionary.

    ``contributions`` hold every muscle with all it is a region of; ``aliases`` leave out those
    that the lifter has given to an exercise of their own.
    """

    muscles: pl.DataFrame
    exercises: pl.DataFrame
    contributions: pl.DataFrame
    aliases: pl.DataFrame
    priors: pl.DataFrame
    facts: pl.DataFrame
    recovery: pl.DataFrame
    balance: pl.DataFrame
    variants: pl.DataFrame


def load_reference(own_exercises: pl.DataFrame | None = None) -> Reference:
    """The shipped reference with the lifter's own exercises.

    Parameters
    ----------
    own_exercises : as returned by ``read_own_exercises``, or a frame of text with some of its
        columns; None for the shipped tables alone.

    Raises
    ------
    InputError
        when an own row cannot be used: line, value and the nearest known word.
    """
    muscles, exercises, contributions = load_muscles(), load_exercises(), load_contributions()
    aliases = load_aliases()
    if own_exercises is not None:
        rows = _complete(own_exercises)
        shipped = dict(exercises.select("exercise_id", "name").iter_rows())
        check_own(rows, shipped, muscles["muscle_id"])
        exercises = _merge_exercises(exercises, rows)
        contributions = _merge_contributions(contributions, rows)
        check_direct(rows, contributions)
        aliases = _free_names(aliases, rows)
    return Reference(
        muscles=muscles,
        exercises=exercises,
        contributions=expand_contributions(contributions, muscles),
        aliases=aliases,
        priors=load_priors(),
        facts=load_facts(),
        recovery=load_recovery(),
        balance=conform("ref_balance", load_balance().drop("basis")),
        variants=conform("ref_variant", load_variants().drop("basis")),
    )


def _complete(own: pl.DataFrame) -> list[dict]:
    """Every documented column; a frame made in Python has its first row on line 2."""
    return [
        {"row_no": number, **dict.fromkeys(OWN_COLUMNS), **row}
        for number, row in enumerate(own.to_dicts(), start=2)
    ]


def _merge_exercises(shipped: pl.DataFrame, rows: list[dict]) -> pl.DataFrame:
    merged = {row["exercise_id"]: row for row in shipped.to_dicts()}
    for row in rows:
        key = row["exercise_id"]
        base = merged.get(key, NEW_EXERCISE)
        given = {name: row[name] for name in EXERCISE_COLUMNS if row[name] is not None}
        if "body_weight_share" in given:
            given = {"body_weight_basis": NEW_EXERCISE["body_weight_basis"]} | given
        merged[key] = _with_numbers(dict.fromkeys(EXERCISE_COLUMNS) | base | given)
    return conform("ref_exercise", pl.DataFrame(list(merged.values()), infer_schema_length=None))


def _with_numbers(row: dict) -> dict:
    texts = {one.name: row[one.name] for one in NUMBERS if isinstance(row[one.name], str)}
    return row | {name: to_number(text) for name, text in texts.items()}


def _merge_contributions(shipped: pl.DataFrame, rows: list[dict]) -> pl.DataFrame:
    """A role's cell replaces that role's muscles; a muscle given one role loses the other."""
    merged = list(shipped.select("exercise_id", "muscle_id", "role").iter_rows())
    for row in rows:
        key = row["exercise_id"]
        for role in ROLES:
            if row[role] is None:
                continue
            given = muscle_ids(row[role])
            merged = [
                one for one in merged if one[0] != key or (one[2] != role and one[1] not in given)
            ]
            merged += [(key, muscle, role) for muscle in given]
    return pl.DataFrame(merged, schema=["exercise_id", "muscle_id", "role"], orient="row")


def _free_names(aliases: pl.DataFrame, rows: list[dict]) -> pl.DataFrame:
    """A name that the lifter gives to an exercise of their own stands for that one alone."""
    own = {row["name"].lower(): row["exercise_id"] for row in rows if row["name"]}
    owner = pl.col("alias").replace_strict(own, default=None, return_dtype=pl.String())
    return aliases.filter(owner.is_null() | (owner == pl.col("exercise_id")))
