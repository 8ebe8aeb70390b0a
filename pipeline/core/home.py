"""The lifter's folder: where everything that a user owns lies, and where results go."""

from dataclasses import dataclass
from pathlib import Path

# The database of a published run.
WAREHOUSE = "warehouse.duckdb"


@dataclass(frozen=True)
class Home:
    """Paths inside the folder of one user (one lifter, or a coach with many)."""

    root: Path

    @property
    def settings(self) -> Path:
        return self.root / "settings.toml"

    @property
    def inbox(self) -> Path:
        return self.root / "inbox"

    @property
    def maps(self) -> Path:
        return self.root / "maps"

    @property
    def journal(self) -> Path:
        return self.root / "journal"

    @property
    def corrections(self) -> Path:
        return self.root / "corrections.toml"

    @property
    def own_exercises(self) -> Path:
        return self.root / "exercises.csv"

    @property
    def name_decisions(self) -> Path:
        return self.root / "names.toml"

    @property
    def runs(self) -> Path:
        return self.root / "runs.jsonl"

    @property
    def predictions(self) -> Path:
        """Only ever added to; never built from other files."""
        return self.root / "predictions.jsonl"

    @property
    def plans(self) -> Path:
        """Accepted plans, a folder a lifter."""
        return self.root / "plans"

    @property
    def told(self) -> Path:
        """What each lifter was told last, a small file each (``findings/news``)."""
        return self.root / "told"

    @property
    def published(self) -> Path:
        return self.root / "published"

    @property
    def current(self) -> Path:
        return self.root / "current"

    @property
    def cache(self) -> Path:
        """Built from the other files; may be deleted at any time."""
        return self.root / ".cache"

    @property
    def lock(self) -> Path:
        return self.cache / "refresh.lock"
