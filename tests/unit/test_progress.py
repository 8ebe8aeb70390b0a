"""What a refresh says while it works: time left only where the last run tells it, no flicker."""

import json
from io import StringIO

import pytest
from rich.console import Console

from pipeline.core.home import Home
from pipeline.flows.progress import Progress, say_left
from pipeline.flows.report import last_steps

LAST = (2.0, 30.0, 60.0)


def progress_after(*took: float, last: tuple[float, ...] = LAST) -> Progress:
    """A run whose finished steps took so many seconds."""
    progress = Progress(Console(file=StringIO()), 3, last)
    progress.seconds.extend(took)
    return progress


def test_what_is_left_is_what_the_last_run_took():
    assert progress_after(2.0).seconds_left(10.0) == 20.0 + 60.0
    assert progress_after(2.0).seconds_left(50.0) == 60.0  # longer than then: the rest stands
    assert progress_after(2.0, 28.0).seconds_left(0.0) == 60.0


@pytest.mark.parametrize(
    ("progress", "running"),
    [
        (progress_after(2.0, last=()), 0.0),  # the first run
        (progress_after(2.0, last=(2.0, 3.0)), 0.0),  # another program's steps
        (progress_after(2.0, 0.1), 0.0),  # found in the cache, then it took half a minute
        (progress_after(2.0, 300.0), 0.0),
        (progress_after(2.0), 66.0),  # this step goes another way
        (progress_after(2.0, 30.0, 60.0), 0.0),  # done
    ],
)
def test_nothing_is_said_of_what_is_not_known(progress, running):
    assert progress.seconds_left(running) is None


def test_words_promise_no_more_than_the_last_run_tells():
    said = [say_left(seconds).split(" left")[0] for seconds in (4.0, 38.0, 130.0)]
    assert said == ["a few seconds", "about 40 s", "about 2 min"]


def test_a_terminal_has_the_time_left_and_a_log_has_one_line_a_step():
    on_terminal, in_log = StringIO(), StringIO()
    for file, is_terminal in ((on_terminal, True), (in_log, False)):
        console = Console(file=file, force_terminal=is_terminal, width=120)
        with Progress(console, 3, LAST).step("read the files"):
            pass
    assert "about 2 min left, as the last run took" in on_terminal.getvalue()
    assert in_log.getvalue().splitlines() == ["1 of 3  read the files, 0.0 s"]


def test_the_last_run_that_came_to_its_end_counts(tmp_path):
    home = Home(tmp_path)
    assert last_steps(home) == []
    lines = ({"step_seconds": [1.0]}, {"step_seconds": [2, 3.5]}, {"error": "no space"})
    home.runs.write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")
    assert last_steps(home) == [2.0, 3.5]
