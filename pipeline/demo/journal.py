"""The journal of an invented lifter, as the TOML that a person would write."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from pipeline.demo.scenario import InventedLifter
from pipeline.models.simulate import Career, SimEvent

_MOMENTS = ("gym_change", "device_change")


def write_journal(lifter: InventedLifter, career: Career) -> str:
    """Every event that the lifter told of; early deloads and an untold phase are left to find."""
    told = [event for event in career.events if _is_told(event, lifter, career.start)]
    head = (
        f"# Journal of {lifter.name}: a lifter of the demo, who does not exist.\n"
        "# What the log does not say. Declared events are used before any rule.\n"
        f"# Deloads were written down from {lifter.deloads_told_from} on only.\n"
    )
    return head + "".join("\n" + "\n".join(_write_event(event, career)) + "\n" for event in told)


def _is_told(event: SimEvent, lifter: InventedLifter, start: date) -> bool:
    day = start + timedelta(days=event.start_day)
    is_late = event.kind != "deload" or day >= lifter.deloads_told_from
    is_left_out = event.kind == "priority" and day in lifter.untold
    return event.is_declared and is_late and not is_left_out


def _write_event(event: SimEvent, career: Career) -> Iterator[str]:
    start, last_day = career.start, career.n_weeks * 7 - 1
    is_open = event.kind == "injury" and event.end_day >= last_day
    yield "[[event]]"
    yield f'kind = "{event.kind}"'
    yield f"start = {start + timedelta(days=event.start_day)}"
    if event.kind not in _MOMENTS and not is_open:
        yield f"end = {start + timedelta(days=event.end_day)}"
    if event.subject:
        yield f"subject = {_write_list(event.subject)}"
    if event.lifts_out:
        yield f"lifts_out = {_write_list(event.lifts_out)}"
        yield f"regions = {_write_list(event.subject)}"
    yield f'why = "{event.why}"'


def _write_list(names: Sequence[str]) -> str:
    return "[" + ", ".join(f'"{name}"' for name in names) + "]"
