"""What a refresh says while it works: a live line on a terminal, plain lines in a log."""

import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from rich.console import Console

from pipeline.core.errors import one_line

# A run goes another way than the last one where it took more than twice or less than half its
# time, beyond so many seconds: then the last one tells nothing about what is left.
SLACK_S = 5.0
FACTOR = 2.0


class Progress:
    """Names each step and how long it took, with the steps left.

    On a terminal the running step is shown with a spinner and, where the last run tells it, with
    the time left; elsewhere each finished step is one plain line. Warnings are always whole lines.

    Parameters
    ----------
    console : where it is said. steps : how many there are.
    last : seconds of each step of the last run; empty where there was none.
    """

    def __init__(self, console: Console, steps: int, last: Sequence[float] = ()) -> None:
        self._console, self._steps = console, steps
        self._last = tuple(last) if len(last) == steps else ()
        self.warnings: list[str] = []
        self.seconds: list[float] = []

    @contextmanager
    def step(self, words: str) -> Iterator[None]:
        """Show ``words`` while the body runs, then the time it took."""
        label = f"{len(self.seconds) + 1} of {self._steps}  {words}"
        began = time.monotonic()
        if self._console.is_terminal:
            with self._console.status(_Running(label, began, self)):
                yield
        else:
            yield
        took = time.monotonic() - began
        self.seconds.append(round(took, 1))
        self._console.print(f"{label}, {took:.1f} s", highlight=False)

    def seconds_left(self, running: float) -> float | None:
        """Seconds left by the last run, ``running`` seconds into a step.

        None without a last run, and where this one goes another way.
        """
        done = len(self.seconds)
        if done >= len(self._last):
            return None
        took, was = sum(self.seconds), sum(self._last[:done])
        step = self._last[done]
        if max(took, was) > FACTOR * min(took, was) + SLACK_S or running > FACTOR * step + SLACK_S:
            return None
        return max(0.0, step - running) + sum(self._last[done + 1 :])

    def warn(self, words: str) -> None:
        """One warning line; kept for the record of runs."""
        words = one_line(words)
        self.warnings.append(words)
        self._console.print(f"warning: {words}", highlight=False, markup=False, soft_wrap=True)


@dataclass(frozen=True)
class _Running:
    """The line of the running step, written anew each time that the spinner turns."""

    label: str
    began: float
    progress: Progress

    def __rich__(self) -> str:
        left = self.progress.seconds_left(time.monotonic() - self.began)
        return self.label if left is None else f"{self.label}; {say_left(left)}"


def say_left(seconds: float) -> str:
    """The time left in words that promise no more than the last run can tell."""
    if seconds < 10:
        return "a few seconds left, as the last run took"
    if seconds < 90:
        return f"about {10 * round(seconds / 10)} s left, as the last run took"
    return f"about {round(seconds / 60)} min left, as the last run took"
