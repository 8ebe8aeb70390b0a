"""The whole run: the warehouse, the pages, and what is published."""

import os
import shutil
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

import polars as pl

from dashboards import PageId, list_pages, render_page
from pipeline.core.calendar import iso_weekday
from pipeline.core.dictionary import conform, empty_frame
from pipeline.core.dictionary import tables as all_tables
from pipeline.core.errors import EngineError
from pipeline.core.home import WAREHOUSE
from pipeline.core.page_book import PageBook
from pipeline.findings import (
    answer_group,
    drop_outdated,
    finding_frame,
    settle_findings,
)
from pipeline.findings.build import MODEL_VERSION
from pipeline.findings.next_phase import settle_proposals
from pipeline.flows.inputs import Inputs
from pipeline.flows.step_lifter import TIDY_TABLES
from pipeline.flows.step_news import AllNews
from pipeline.flows.step_plans import LookedAhead
from pipeline.store.warehouse import (
    add_tables,
    build_warehouse,
    read_tables,
    run_checks,
)

CODE_VERSION = "0.1.0"
# Pages that carry the time of the last run; every other page stays as it is from run to run.
TIMED = ("index.html", "state.html")
NOT_FOR_PAGES = ("raw_row",)


def make_warehouse(
    inputs: Inputs, lifter_folders: Mapping[str, Path], raw_files: list[Path]
) -> Callable[[Path], None]:
    """The function that builds raw, reference, tidy and mart tables into an empty folder."""

    def make(folder: Path) -> None:
        parquet = {
            name: [place / f"{name}.parquet" for place in lifter_folders.values()]
            for name in TIDY_TABLES
        }
        parquet["raw_row"] = raw_files
        build_warehouse(folder / WAREHOUSE, _reference_frames(inputs), inputs.settings, parquet)

    return make


def make_finished(
    warehouse: Path,
    lifter_folders: Mapping[str, Path],
    answer_folders: Mapping[str, Path],
    check_folders: Mapping[str, Path],
    ahead: LookedAhead,
    years: float,
) -> Callable[[Path], None]:
    """The function that adds models and findings to a copy of the warehouse and checks it whole.

    ``ahead`` is what was expected; ``years`` is the span of the group's findings.

    Raises (inside)
    ---------------
    EngineError
        when a rule about whole tables does not hold: the run is not published.
    """

    def make(folder: Path) -> None:
        target = folder / WAREHOUSE
        shutil.copyfile(warehouse, target)
        frames = _model_frames(lifter_folders, answer_folders, check_folders)
        frames["model_check"] = drop_outdated(frames["finding"], frames["model_check"])
        frames["finding"] = settle_findings(frames["finding"], frames["model_check"])
        lines = frames["model_proposal_muscle"]
        frames["model_proposal_muscle"] = settle_proposals(lines, frames["finding"])
        frames |= ahead.add(target, frames)
        if len(lifter_folders) > 1:
            frames["finding"] = pl.concat(
                [frames["finding"], _group_findings(target, frames, years)]
            )
        add_tables(target, frames)
        broken = run_checks(target)
        if broken:
            first = broken[0]
            raise EngineError(
                f"{first.name}: {first.holds} does not hold in {first.rows} rows, "
                f"first {first.first}: last night's pages stand; please report this"
            )

    return make


def read_book(inputs: Inputs, warehouse: Path, news: AllNews, last_run: datetime) -> PageBook:
    """Everything the pages may show."""
    names = [name for name in all_tables() if name not in NOT_FOR_PAGES]
    return PageBook(
        lifters=inputs.settings.lifters,
        tables=read_tables(warehouse, names),
        changes=news.lines,
        since=news.since,
        last_run=last_run,
        settings_id=inputs.settings.checksum,
        reference_id=inputs.reference_id,
        model_version=MODEL_VERSION,
        code_version=CODE_VERSION,
        settings_shown={name: f"{inputs.settings[name]:g}" for name in inputs.settings.changed},
        style=inputs.settings.pages,
    )


def make_pages(book: PageBook) -> Callable[[Path], None]:
    """The function that draws every page without a clock into an empty folder."""

    def make(folder: Path) -> None:
        for page in list_pages(book):
            if not is_timed(page):
                _write(folder / page.file, render_page(page, book))

    return make


def is_timed(page: PageId) -> bool:
    """The page carries the time of the last run."""
    return Path(page.file).name in TIMED


def assemble_run(target: Path, warehouse: Path, pages: Path, book: PageBook) -> None:
    """Lay out one run to publish: links to what is built, the timed pages drawn now."""
    target.mkdir(parents=True)
    _link(warehouse, target / WAREHOUSE)
    for path in sorted(pages.rglob("*.html")):
        _link(path, target / "pages" / path.relative_to(pages))
    for page in list_pages(book):
        if is_timed(page):
            _write(target / "pages" / page.file, render_page(page, book))


def _reference_frames(inputs: Inputs) -> dict[str, pl.DataFrame]:
    reference = inputs.reference
    lifters = [
        {
            "lifter_id": one.lifter_id,
            "name": one.name,
            "training_began": one.training_began,
            "unit": one.unit,
            "week_starts_on": iso_weekday(one.week_starts),
        }
        for one in inputs.settings.lifters
    ]
    return {
        "ref_lifter": pl.DataFrame(lifters, infer_schema_length=None),
        "ref_muscle": reference.muscles,
        "ref_exercise": reference.exercises,
        "ref_contribution": reference.contributions,
        "ref_alias": reference.aliases,
        "ref_prior": reference.priors,
        "ref_fact": reference.facts,
        "ref_recovery": reference.recovery,
        "ref_balance": reference.balance,
        "ref_variant": reference.variants,
    }


def _model_frames(
    lifter_folders: Mapping[str, Path],
    answer_folders: Mapping[str, Path],
    check_folders: Mapping[str, Path],
) -> dict[str, pl.DataFrame]:
    """Model tables and findings of all lifters; a table that nobody has is empty."""
    places = {
        name: [folder / f"{name}.parquet" for folder in answer_folders.values()]
        for name in all_tables()
        if name.startswith("model_") or name == "finding"
    }
    for name in ("model_lift_level", "model_lift_change", "model_rep_curve"):
        places[name] = [folder / f"{name}.parquet" for folder in lifter_folders.values()]
    places["model_check"] = [folder / "model_check.parquet" for folder in check_folders.values()]
    return {name: _read_all(name, paths) for name, paths in places.items()}


def _read_all(table: str, paths: list[Path]) -> pl.DataFrame:
    # Checks that wait for their turn may be from before a column was added.
    frames = [conform(table, pl.read_parquet(path)) for path in paths if path.exists()]
    return pl.concat([empty_frame(table), *frames])


def _group_findings(
    warehouse: Path, frames: Mapping[str, pl.DataFrame], years: float
) -> pl.DataFrame:
    """Findings about two or more lifters together."""
    read = read_tables(warehouse, ["ref_muscle", "mart_week_lifter"])
    found = answer_group(
        frames["model_muscle_index"], read["ref_muscle"], read["mart_week_lifter"], years
    )
    return finding_frame(found)


def _link(source: Path, target: Path) -> None:
    """The same bytes under another name; a copy where the file system has no hard links.

    Read-only, since a change through the one name would show under the other.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    source.chmod(0o444)
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
