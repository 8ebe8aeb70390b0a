"""What is new to each lifter, and what he or she was told: ``told/<lifter>.json`` in the folder.

The file holds two states: the one before the record last changed, which the news on the pages is
held against, and the one of now. A refresh of the same record compares with the same state again,
so that its pages stay as they are, also after everything that was built is deleted.
"""

import json
import os
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.home import Home
from pipeline.core.page_book import NEWS_SCHEMA, Since
from pipeline.findings.build import MODEL_VERSION
from pipeline.findings.news import NEWS_READS, Now, Told, read_told, tell_news
from pipeline.flows.cache import content_key
from pipeline.flows.inputs import Inputs
from pipeline.store.warehouse import read_tables

SCHEMA = 1


@dataclass(frozen=True)
class Kept:
    """The two states of one lifter's file."""

    before: Told | None
    now: Told


@dataclass(frozen=True)
class AllNews:
    """Lines of all lifters, what each is held against, and the files to write."""

    lines: pl.DataFrame
    since: Mapping[str, Since]
    kept: Mapping[str, Kept]

    @property
    def counts(self) -> dict[str, int]:
        """How many lines there are by lifter; lifters without any are left out."""
        rows = self.lines.group_by("lifter_id", maintain_order=True).len().rows()
        return {lifter: n + self.since[lifter].more for lifter, n in rows}


def find_news(
    inputs: Inputs, warehouse: Path, program: str, warn: Callable[[str], None]
) -> AllNews:
    """What is new to every lifter of the run.

    Parameters
    ----------
    warehouse : the finished database.
    program : hash of the program that answered.
    warn : told of a file that cannot be read; its lifter then has nothing to compare with.
    """
    tables = read_tables(warehouse, NEWS_READS)
    lines, since, kept = [pl.DataFrame(schema=NEWS_SCHEMA)], {}, {}
    for lifter in inputs.settings.lifters:
        lifter_id = lifter.lifter_id
        if lifter_id not in inputs.journals:
            continue
        made = _made_of(inputs, lifter_id, program)
        last = _read_kept(inputs.home, lifter_id, warn)
        if last is not None and last.now.made["files"] and not made["files"]:
            continue  # an inbox that is not there tells nothing new: what was told last is kept
        before = None if last is None else last.now
        if last is not None and last.now.made == made:
            before = last.before
        own = {
            name: frame.filter(pl.col("lifter_id") == lifter_id)
            if "lifter_id" in frame.columns
            else frame
            for name, frame in tables.items()
        }
        news = tell_news(before, Now(lifter, own, inputs.settings.thresholds, made))
        lines.append(news.lines)
        since[lifter_id] = news.since
        kept[lifter_id] = Kept(before, news.told)
    return AllNews(pl.concat(lines), since, kept)


def keep_told(home: Home, news: AllNews) -> None:
    """Write what was told, each file whole or not at all; called once the pages are published.

    Where that fails the next refresh says the same news again.
    """
    home.told.mkdir(exist_ok=True)
    for lifter_id, kept in news.kept.items():
        target = home.told / f"{lifter_id}.json"
        before = None if kept.before is None else kept.before.as_json()
        states = {"schema": SCHEMA, "before": before, "now": kept.now.as_json()}
        text = json.dumps(states, ensure_ascii=False, separators=(",", ":")) + "\n"
        if target.exists() and target.read_text("utf-8", errors="replace") == text:
            continue
        fresh = target.with_suffix(f".{os.getpid()}.new")
        fresh.write_text(text, "utf-8")
        os.replace(fresh, target)


def _read_kept(home: Home, lifter_id: str, warn: Callable[[str], None]) -> Kept | None:
    path = home.told / f"{lifter_id}.json"
    if not path.exists():
        return None
    try:
        states = json.loads(path.read_text("utf-8"))
        if states["schema"] != SCHEMA:
            raise ValueError(f"schema {states['schema']}, {SCHEMA} is known")
        before = states["before"]
        return Kept(None if before is None else read_told(before), read_told(states["now"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        warn(
            f"told/{path.name}: {type(error).__name__}: {error}: nothing to compare with this "
            "time; it is written anew"
        )
        return None


def _made_of(inputs: Inputs, lifter_id: str, program: str) -> dict[str, Any]:
    """What the lifter's answers are made from, with checksums."""
    lifter = inputs.settings.lifter(lifter_id)
    mapped = {
        file.path: (file.sha256, content_key(asdict(one)))
        for file, one in inputs.files
        if file.lifter_id == lifter_id
    }
    unread = {one.path: one.sha256 for one in inputs.unmapped if one.lifter_id == lifter_id}
    chosen = sorted((sorted(files), keep) for files, keep in inputs.copies.items())
    return {
        "files": {path: content_key(parts) for path, parts in sorted({**mapped, **unread}.items())},
        "settings": content_key(asdict(lifter), inputs.settings.thresholds),
        "reference": content_key(inputs.reference_id, inputs.names_id),
        "journal": content_key(inputs.journals[lifter_id].write_json()),
        "corrections": content_key([asdict(one) for one in inputs.corrections], chosen),
        "program": content_key(MODEL_VERSION, program),
    }
