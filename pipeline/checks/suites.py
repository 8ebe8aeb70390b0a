"""Checks of rows: one Great Expectations suite per table, generated from the dictionary.

The engine takes seconds to import and is therefore imported inside; it works in memory, writes no
files and reports to nobody. What it cannot compute is its own failure (``EngineError``) and is
never told as bad data.
"""

import logging
import os
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, reduce
from operator import and_
from typing import Any

import polars as pl

from pipeline.checks.rules import Rule, column_rules, label_of, signal_rule
from pipeline.core.calendar import say_date
from pipeline.core.errors import EngineError

ROW = "row_index"
DAY_ZERO = date(1970, 1, 1)


@dataclass(frozen=True)
class Failure:
    """One value that breaks one rule.

    ``row`` is its place in the frame that was checked, from 0; ``expectation`` says in plain words
    what is wrong with it; ``limit`` what is allowed; ``remedy`` what a person can do about it.
    """

    row: int
    column: str
    expectation: str
    value: object
    limit: str
    remedy: str

    def sentence(self) -> str:
        """Value, limit and remedy as one line."""
        return f"{label_of(self.column)} {say_value(self.value)}: {self.limit}; {self.remedy}"


@dataclass(frozen=True)
class CheckReport:
    """What one table's check found, by row; ``n_expectations`` is how many rules were asked."""

    failures: tuple[Failure, ...]
    n_expectations: int


def check_frames(frames: Mapping[str, pl.DataFrame]) -> dict[str, CheckReport]:
    """Check several tables in one go.

    Parameters
    ----------
    frames : table name to rows, with the dictionary's columns.

    Raises
    ------
    EngineError
        when Great Expectations itself fails; says nothing about the data.
    """
    asked = {table: _applicable(table, frame) for table, frame in frames.items()}
    if not any(asked.values()):
        return {table: CheckReport((), 0) for table in frames}
    context = _open_context()
    return {table: _check(context, table, frame, asked[table]) for table, frame in frames.items()}


def say_value(value: object) -> str:
    """A value as a person reads it, with a true minus sign."""
    if value is None:
        return "not given"
    if isinstance(value, date):
        return say_date(value)
    if isinstance(value, float):
        return f"{value:.10g}".replace("-", "−")
    if isinstance(value, int):
        return str(value).replace("-", "−")
    return str(value)


def _applicable(table: str, frame: pl.DataFrame) -> tuple[Rule, ...]:
    """The rules that can fail: limits say nothing about a column without any value."""
    if frame.is_empty():
        return ()
    filled = {name for name in frame.columns if frame[name].null_count() < frame.height}
    rules = [r for r in column_rules(table) if r.kind == "given" or r.column in filled]
    if table == "tidy_signal":
        signals = frame["signal"].drop_nulls().unique().sort()
        rules += [rule for rule in map(signal_rule, signals) if rule is not None]
    return tuple(rules)


@cache
def _open_context() -> Any:
    """An engine in memory, one a process: no files, no bars, no reports to outside."""
    os.environ["GX_ANALYTICS_ENABLED"] = "false"
    import great_expectations as gx
    from great_expectations.data_context.types.base import ProgressBarsConfig

    # It sets levels of its own on import, and tells of every temporary folder.
    for name in ("great_expectations", "great_expectations.data_context.types.base"):
        logging.getLogger(name).setLevel(logging.WARNING)
    context = gx.get_context(mode="ephemeral")
    context.variables.progress_bars = ProgressBarsConfig(globally=False)
    return context


def _check(context: Any, table: str, frame: pl.DataFrame, rules: tuple[Rule, ...]) -> CheckReport:
    if not rules:
        return CheckReport((), 0)
    rows = _as_pandas(frame, rules)
    try:
        outcomes = _validate(context, table, rows, rules)
    except Exception as error:
        raise EngineError(f"the check of {table} could not run: {_first_line(error)}") from error
    found = sorted(_failures(table, frame, rules, outcomes), key=lambda f: (f.row, f.column))
    return CheckReport(tuple(found), len(rules))


def _as_pandas(frame: pl.DataFrame, rules: tuple[Rule, ...]) -> Any:
    """The columns that the rules name, and the row's place, as the engine takes them."""
    named = {rule.column for rule in rules} | {name for r in rules for name, _, _ in r.when}
    columns = [name for name in frame.columns if name in named]
    missing = sorted(named - set(columns))
    if missing:
        raise EngineError(f"columns {missing} are not in the frame: conform it before the check")
    # Dates as days: the engine compares numbers as a whole column, dates one by one.
    days = pl.selectors.date().to_physical().cast(pl.Int64)
    return frame.select(columns).with_columns(days).with_row_index(ROW).to_pandas()


def _validate(context: Any, table: str, rows: Any, rules: tuple[Rule, ...]) -> list[Any]:
    import great_expectations as gx

    suite = gx.ExpectationSuite(
        name=table, expectations=[_expectation(rule, i) for i, rule in enumerate(rules)]
    )
    asset = context.data_sources.add_or_update_pandas(table).add_dataframe_asset(table)
    batch = asset.add_batch_definition_whole_dataframe("all").get_batch({"dataframe": rows})
    complete = {"result_format": "COMPLETE", "unexpected_index_column_names": [ROW]}
    return list(batch.validate(suite, result_format=complete).results)


def _expectation(rule: Rule, number: int) -> Any:
    """The expectation that asks for one rule; its number finds the rule again."""
    import great_expectations.expectations as gxe

    common = {"column": rule.column, "meta": {"rule": number}, "row_condition": _condition(rule)}
    if rule.kind == "given":
        return gxe.ExpectColumnValuesToNotBeNull(**common)
    if rule.kind == "among":
        return gxe.ExpectColumnValuesToBeInSet(**common, value_set=list(rule.values))
    low, high = _as_number(rule.low), _as_number(rule.high)
    return gxe.ExpectColumnValuesToBeBetween(**common, min_value=low, max_value=high)


def _as_number(limit: float | date | None) -> float | None:
    """Limits of dates as days since the beginning of 1970."""
    return (limit - DAY_ZERO).days if isinstance(limit, date) else limit


def _condition(rule: Rule) -> Any:
    from great_expectations.expectations.row_conditions import Column

    tests: dict[str, Callable[[Column, Any], Any]] = {
        "null": lambda column, _: column.is_null(),
        "=": lambda column, value: column == value,
        ">": lambda column, value: column > value,
    }
    parts = [tests[relation](Column(name), value) for name, relation, value in rule.when]
    return reduce(and_, parts) if parts else None


def _failures(
    table: str, frame: pl.DataFrame, rules: tuple[Rule, ...], outcomes: list[Any]
) -> Iterator[Failure]:
    if len(outcomes) != len(rules):
        raise EngineError(f"the check of {table} answered {len(outcomes)} of {len(rules)} rules")
    for outcome in outcomes:
        broken = _engine_error(outcome.exception_info)
        rule = rules[outcome.expectation_config.meta["rule"]]
        if broken:
            raise EngineError(f"the check of {table}.{rule.column} could not run: {broken}")
        values = frame[rule.column]
        for place in outcome.result.get("unexpected_index_list") or ():
            row = int(place[ROW])
            yield Failure(row, rule.column, rule.says, values[row], rule.limit, rule.remedy)


def _engine_error(info: Mapping[str, Any]) -> str:
    """The engine's own error message; empty when it could answer.

    ``info`` is either one entry or one entry per metric that failed.
    """
    entries = [info] if "raised_exception" in info else list(info.values())
    messages = [e["exception_message"] for e in entries if e and e.get("raised_exception")]
    return messages[0] if messages else ""


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__
