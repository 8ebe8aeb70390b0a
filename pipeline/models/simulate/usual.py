"""What priority phases are held against: the same weeks grown as with the sets usual around them.

Usual are the nearest trained weeks outside all priority phases, ``USUAL_WEEKS`` before a phase and
as many after it (an assumption: half a year either way). Deloads and layoffs inside a phase stay
as they were. Their mean growth is taken, not the growth of their mean sets: a concave response
grows less on sets that move about than on their mean, and only the phase's share is meant here.
"""

import numpy as np

from pipeline.models.arrays import Bools, Floats

from .timeline import Timeline

USUAL_WEEKS = 26
KINDS = ("priority", "hold")


def find_phase_weeks(timeline: Timeline) -> Bools:
    """(weeks,): weeks of any priority or hold phase."""
    inside = np.zeros(timeline.status.size, dtype=bool)
    for event in timeline.events:
        if event.kind in KINDS:
            inside[event.start_day // 7 : event.end_day // 7 + 1] = True
    return inside


def take_usual(values: Floats, timeline: Timeline) -> Floats:
    """``values`` (muscles, weeks), trained weeks of phases replaced by the mean of usual weeks."""
    inside = find_phase_weeks(timeline)
    is_trained = (timeline.status == "trained") | (timeline.status == "unlogged")
    usual = np.flatnonzero(is_trained & ~inside)
    taken = values.copy()
    if usual.size == 0:
        return taken
    edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.astype(np.int8), [0]])))
    for first, stop in edges.reshape(-1, 2):
        place = np.searchsorted(usual, first)
        near = usual[max(place - USUAL_WEEKS, 0) : place + USUAL_WEEKS]
        weeks = np.arange(first, stop)[is_trained[first:stop]]
        taken[:, weeks] = values[:, near].mean(axis=1, keepdims=True)
    return taken
