"""What may stand in a column, as rules: from the dictionary, and those that need two columns.

A rule knows its sentence; whether it holds is asked of Great Expectations in ``suites``.
"""

from dataclasses import dataclass
from datetime import date
from functools import cache

from pipeline.core.calendar import EARLIEST_DAY, say_date
from pipeline.core.dictionary import Column, columns_of
from pipeline.core.signals import limits_of

# Words for column names whose own words would not be understood.
LABELS = {
    "rir": "repetitions in reserve",
    "reps": "repetitions",
    "set_no": "set number",
    "segment_no": "drop number",
    "row_no": "line number",
    "session_date": "date",
    "load_kg": "load",
    "load_moved_kg": "load with body weight",
    "duration_s": "duration",
    "distance_m": "distance",
    "angle_deg": "bench angle",
}


@dataclass(frozen=True)
class Rule:
    """One rule about one column.

    ``kind`` is "given" (not null), "within" (``low`` to ``high``, both allowed, None: no limit) or
    "among" (``values``). ``when`` limits it to rows for which all of its (column, is, value) hold,
    ``is`` being "=", ">" or "null".
    """

    column: str
    kind: str
    says: str
    limit: str
    remedy: str
    low: float | date | None = None
    high: float | date | None = None
    values: tuple[str, ...] = ()
    when: tuple[tuple[str, str, float | str | None], ...] = ()


@cache
def column_rules(table: str) -> tuple[Rule, ...]:
    """Rules of one table: those its dictionary entries state, then those of rows as a whole."""
    found = [rule for column in columns_of(table) for rule in _rules_of(column)]
    return (*found, *ROW_RULES.get(table, ()))


@cache
def signal_rule(signal: str) -> Rule | None:
    """The limits of one signal's values; None where none are known."""
    limits = limits_of(signal)
    if limits is None:
        return None
    limit = _say_limits(limits.low, limits.high, "")
    return Rule(
        column="value",
        kind="within",
        says=f"{signal.replace('_', ' ')} not {limit}",
        limit=f"{limit} is allowed",
        remedy="correct the value, or its unit in the map",
        low=limits.low,
        high=limits.high,
        when=(("signal", "=", signal),),
    )


def label_of(column: str) -> str:
    """A column in a person's words."""
    return LABELS.get(column, column.removeprefix("is_").replace("_", " "))


def _rules_of(column: Column) -> list[Rule]:
    rules = []
    if column.required:
        rules.append(_given(column))
    if column.values:
        rules.append(_among(column))
    if column.type == "date":
        rules.append(_not_ancient(column))
    elif column.low is not None or column.high is not None:
        rules.append(_within(column))
    return rules


def _given(column: Column) -> Rule:
    return Rule(
        column=column.name,
        kind="given",
        says=f"{label_of(column.name)} missing",
        limit="a value is needed",
        remedy="write it in the file, or name its column in the map",
    )


def _among(column: Column) -> Rule:
    return Rule(
        column=column.name,
        kind="among",
        says=f"{label_of(column.name)} not known",
        limit=f"one of {', '.join(column.values)} is needed",
        remedy="write one of these in the file, or correct the map",
        values=column.values,
    )


def _within(column: Column) -> Rule:
    limit = _say_limits(column.low, column.high, column.unit)
    return Rule(
        column=column.name,
        kind="within",
        says=f"{label_of(column.name)} not {limit}",
        limit=f"{limit} is allowed",
        remedy="correct the value in the file, or its unit or column in the map",
        low=column.low,
        high=column.high,
    )


def _say_limits(low: float | None, high: float | None, unit: str) -> str:
    """ "at least 0 kg", "at most 5" or "within 0 to 700 kg", with a true minus sign."""
    ends = [f"{end:g}".replace("-", "−") for end in (low, high) if end is not None]
    said = {1: "at least " if low is not None else "at most ", 2: "within "}[len(ends)]
    return f"{said}{' to '.join(ends)} {unit}".rstrip()


def _not_ancient(column: Column) -> Rule:
    return Rule(
        column=column.name,
        kind="within",
        says=f"{label_of(column.name)} before any log",
        limit=f"no day before {say_date(EARLIEST_DAY)} is allowed",
        remedy="correct the year in the file, or the order of day, month and year in the map",
        low=EARLIEST_DAY,
    )


ROW_RULES: dict[str, tuple[Rule, ...]] = {
    "tidy_set": (
        Rule(
            column="reps",
            kind="given",
            says="neither repetitions nor time nor distance",
            limit="one of the three is needed",
            remedy="write what was done in the file, or name its column in the map",
            when=(("duration_s", "null", None), ("distance_m", "null", None)),
        ),
        Rule(
            column="cluster_id",
            kind="given",
            says="a drop without the set it follows",
            limit="a drop belongs to a set before it",
            remedy="write the set that the drop follows, or take the drop mark away",
            when=(("segment_no", ">", 1),),
        ),
    ),
}
