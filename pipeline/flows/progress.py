"""What a refresh says while it works: a live line on a terminal, plain lines in a log."""

import time
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console

from pipeline.core.errors import one_line


class Progress:
    """Names each step and how long it took, with the steps left.

    On a terminal the running step is shown with a spinner; elsewhere each finished step is one
    plain line. Warnings are always whole lines.
    """

    def __init__(self, console: Console, steps: int) -> None:
        self._console, self._steps, self._done = console, steps, 0
        self.warnings: list[str] = []

    @contextmanager
    def step(self, words: str) -> Iterator[None]:
        """Show ``words`` while the body runs, then the time it took."""
        self._done += 1
        label = f"{self._done} of {self._steps}  {words}"
        began = time.monotonic()
        if self._console.is_terminal:
            with self._console.status(label):
                yield
        else:
            yield
        self._console.print(f"{label}, {time.monotonic() - began:.1f} s", highlight=False)

    def warn(self, words: str) -> None:
        """One warning line; kept for the record of runs."""
        words = one_line(words)
        self.warnings.append(words)
        self._console.print(f"warning: {words}", highlight=False, markup=False, soft_wrap=True)
