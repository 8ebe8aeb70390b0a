"""``liftstrata refresh`` and ``liftstrata nightly``."""

import json
from pathlib import Path

from pipeline.cli import EXIT_NOTHING_READ
from pipeline.flows.run import refresh_home


def run_refresh(folder: Path, *, as_json: bool, flow_name: str) -> int:
    """Refresh the folder and say what came of it; 2 when nothing could be read."""
    report = refresh_home(folder, flow_name)
    pages = folder / report["pages"]
    if as_json:
        print(json.dumps(report | {"pages": str(pages)}, ensure_ascii=False))
    else:
        warnings = len(report["warnings"])
        print(
            f"{report['read']:,} records read: {report['kept']:,} kept, "
            f"{report['repeated']:,} repeated, {report['set_aside']:,} set aside, "
            f"{report['blank']:,} blank; {warnings} {'warning' if warnings == 1 else 'warnings'}"
        )
        for lifter, lines in report["news"].items():
            noun = "line" if lines == 1 else "lines"
            print(f"news: {lines} {noun} about {lifter}, see The record")
        print(f"pages: {pages}")
    return 0 if report["kept"] else EXIT_NOTHING_READ
