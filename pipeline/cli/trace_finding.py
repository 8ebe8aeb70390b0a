"""``liftstrata trace`` of a finding: its sentence, fields, method, SQL, sets and source lines."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from pipeline.core.calendar import say_date
from pipeline.core.home import WAREHOUSE
from pipeline.findings.provenance import PROVENANCE, Provenance
from pipeline.store.trace_finding import FindingOrigin, SourceLines, find_finding, trace_finding

FEW_FILES, FEW_RUNS, FEW_MARKS = 5, 5, 3


def origin_of(warehouse: Path, what: str) -> tuple[FindingOrigin, Provenance]:
    """The finding that ``what`` names, and what it was made from.

    Raises
    ------
    SettingsError
        when no finding, or more than one, is named.
    """
    finding = find_finding(warehouse, what)
    made = PROVENANCE[finding["question"]]
    return trace_finding(warehouse, finding, made.tables, made.rows, made.signals), made


def tell_finding(
    origin: FindingOrigin, made: Provenance, folder: Path, is_all: bool
) -> Iterator[str]:
    """What is known of the finding, a line each; lists are cut short unless ``is_all``."""
    one = origin.finding
    yield one["sentence"]
    yield f"  id: {one['finding_id']}"
    who = one["lifter_id"] or "the group"
    yield f"  asked: {one['question']} of {one['subject']}, {who}, window {one['window']}"
    yield f"  answer: {_say_answer(one)}"
    yield f"  support: {one['support']} ({one['support_why']})"
    yield f"  method: {one['method']}; models {one['model_version']}; {made.code}"
    changed = ", ".join(f"{name} = {_say_value(one)}" for name, one in origin.settings.items())
    yield f"  settings: {changed or 'all as shipped'}"
    yield f"  tables: {', '.join(made.tables)}"
    for model in origin.models:
        yield f"  sql: sql/{model.stage}/{model.name}.sql, one row per {_grain(model.says)}"
    yield from _tell_rows(origin, is_all)
    yield from _tell_marks(origin, is_all)
    path = folder / "current" / WAREHOUSE
    query = f"from finding where finding_id = '{one['finding_id']}'"
    yield f'  look yourself: duckdb.connect("{path}", read_only=True).sql("{query}")'


def _say_value(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def describe_finding(origin: FindingOrigin, made: Provenance) -> dict[str, Any]:
    """The same, whole, of JSON's own types (dates as text)."""
    return {
        "finding": dict(origin.finding),
        "made_from": {
            "code": made.code,
            "tables": list(made.tables),
            "sql": [
                {"file": f"sql/{model.stage}/{model.name}.sql", "grain": model.says}
                for model in origin.models
            ],
            "rows": made.rows,
            "settings_changed": dict(origin.settings),
        },
        "records": origin.n,
        "records_within": origin.n_within,
        "doubted_left_out": origin.n_doubted,
        "lines": [asdict(one) for one in origin.lines],
        "corrections": [dict(one) for one in origin.corrections],
        "doubts": [dict(one) for one in origin.doubts],
    }


def _say_answer(one: Mapping[str, Any]) -> str:
    count = f"{one['n']:,} {one['n_of']}"
    if one["estimate"] is None:
        return f"none; {count}"
    ends = [None if one[name] is None else f"{one[name]:.4g}" for name in ("low", "high")]
    interval = f" ({ends[0] or 'no limit'} to {ends[1] or 'no limit'}" if any(ends) else ""
    if interval:
        interval += f", {one['coverage']:.0%})" if one["coverage"] else ")"
    span = ""
    if one["from_date"] is not None and one["to_date"] is not None:
        span = f", {say_date(one['from_date'])} to {say_date(one['to_date'])}"
    return f"{one['estimate']:.4g}{interval} {one['unit']}; {count}{span}"


def _grain(says: str) -> str:
    return says.removeprefix("one row per ")


def _tell_rows(origin: FindingOrigin, is_all: bool) -> Iterator[str]:
    has_dates = origin.finding["from_date"] is not None
    within = f", {origin.n_within:,} of them between its dates" if has_dates else ""
    left = f"; {origin.n_doubted:,} doubted left out" if origin.n_doubted else ""
    yield f"  records: {origin.n:,} sets and readings{within}{left}"
    shown = origin.lines if is_all else origin.lines[:FEW_FILES]
    for file in shown:
        yield f"    {file.path}: {file.sets:,}, {_say_runs(file, is_all)}"
    if len(shown) < len(origin.lines):
        more = len(origin.lines) - len(shown)
        yield f"    and {more} more {'file' if more == 1 else 'files'}: --all"


def _say_runs(file: SourceLines, is_all: bool) -> str:
    runs = file.runs if is_all else file.runs[:FEW_RUNS]
    said = ", ".join(str(first) if first == last else f"{first} to {last}" for first, last in runs)
    more = len(file.runs) - len(runs)
    noun = "lines" if file.is_line else "records"
    stretches = "stretch" if more == 1 else "stretches"
    return f"{noun} {said}" + (f" and {more} more {stretches}: --all" if more else "")


def _row(mark: Mapping[str, Any]) -> str:
    where = mark["place"] or f"row {mark['row_no']}"
    return f"{mark['file']}, {where}"


def say_correction(fix: Mapping[str, Any]) -> str:
    """What a correction changes, why, and whether it does; one whose value nobody wrote changes
    nothing."""
    change = f"{fix['column']} {fix['expect']!r}"
    if fix["value"] is not None:
        change += f" to {fix['value']!r}"
    state = "applied" if fix["fault"] is None else f"NOT applied: {fix['fault']}"
    return f"{change}: {fix['why']}; {state}"


def say_doubt(doubt: Mapping[str, Any]) -> str:
    """What is doubted and why, by its numbers where it has them."""
    if doubt["found"] is None:
        return f"{doubt['what']}: {doubt['why']}"
    found, usual = (float(f"{doubt[name]:.4g}") for name in ("found", "usual"))
    unit = doubt["unit"]
    return f"{doubt['what']}: {found:g} {unit}; about {usual:g} {unit} is usual around it"


def _tell_marks(origin: FindingOrigin, is_all: bool) -> Iterator[str]:
    few = None if is_all else FEW_MARKS
    for fix in origin.corrections[:few]:
        yield f"  correction: {_row(fix)}: {say_correction(fix)}"
    for doubt in origin.doubts[:few]:
        yield f"  doubted: {_row(doubt)}: {say_doubt(doubt)}"
    for name, marks in (("corrections", origin.corrections), ("doubts", origin.doubts)):
        if few is not None and len(marks) > few:
            yield f"  and {len(marks) - few} more {name}: --all"
