"""Which weeks were deloads: reduced weeks with training.

Question: in which weeks did the lifter ease off, by the record alone? In: one row a session, (m,)
week, working sets and mean relative load. Out: week numbers with what was reduced. Assumes that a
logged session was logged whole. It refuses nothing: where no week keeps the rule, none is found.

Rule (METHODS section d, measured there against weekly totals, which mistake missed sessions for
deloads): working sets per attended session at most ``SETS_RATIO`` of the recent median, for at
most ``LONGEST_WEEKS`` weeks, and back near the recent median afterwards, or back by at least half
of a deep cut: where sessions differ in length, the week after sets cut by half often stands at 0.8
of the median and is no lasting change. The same rule on the mean relative load, with
``LOAD_RATIO``, finds weeks whose loads were cut instead; not in the week back from time off, which
is light for another reason. Deloads keep their frequency and cut the load a little (Bell et al.
2023, read): in a week with clearly fewer sessions than of late, where the mix of long and short
ones changes, the loads must be down too, or the sets far down. A deload that the lifter noted in
the journal wins over the rule.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.weeks import find_runs

SETS_RATIO = 0.75
LOAD_RATIO = 0.93
RECOVERED_SETS = 0.85
RECOVERED_LOAD = 0.97
SHORT_WEEK, SHORT_SETS_RATIO, SHORT_LOAD_RATIO = 0.8, 0.6, 0.98
RECENT_WEEKS = 8
LEAST_RECENT = 4
LONGEST_WEEKS = 2


@dataclass(frozen=True)
class DeloadWeek:
    """One reduced week.

    Attributes
    ----------
    week : week number.
    kind : "sets" or "load" for what was cut, "both", or "told" when only the journal says so.
    sets_ratio, load_ratio : this week's working sets per session and mean relative load over
        the recent median; nan where not known.
    evidence : "rule" or "told".
    """

    week: int
    kind: str
    sets_ratio: float
    load_ratio: float
    evidence: str = "rule"


def detect_deloads(
    session_week: Ints,
    session_sets: Floats,
    session_mean_relative_load: Floats,
    n_weeks: int,
    week_has_sessions: Bools,
) -> tuple[DeloadWeek, ...]:
    """Find the reduced weeks of a record.

    Parameters
    ----------
    session_week : (n_sessions,) week number of each attended session.
    session_sets : (n_sessions,) working sets (a drop cluster is one).
    session_mean_relative_load : (n_sessions,) mean over its working sets of load over what the
        lift's level would have allowed at those repetitions; nan where unknown.
    n_weeks : weeks of the record.
    week_has_sessions : (n_weeks,) whether anything was logged that week.

    Returns
    -------
    DeloadWeek in order of time. The first ``LEAST_RECENT`` trained weeks can hold none, since
    nothing is known to compare with, nor can the last week (it has not recovered yet).
    """
    sets = _weekly_mean(session_week, session_sets, n_weeks)
    load = _weekly_mean(session_week, session_mean_relative_load, n_weeks)
    trained = np.flatnonzero(np.asarray(week_has_sessions, dtype=bool) & np.isfinite(sets))
    by_sets, sets_ratio = _find_low(sets[trained], SETS_RATIO, RECOVERED_SETS)
    by_load, load_ratio = _find_low(load[trained], LOAD_RATIO, RECOVERED_LOAD)
    is_eased = (sets_ratio <= SHORT_SETS_RATIO) | (load_ratio <= SHORT_LOAD_RATIO)
    by_sets &= is_eased | ~_find_short_weeks(session_week, trained, n_weeks)
    by_load &= np.diff(trained, prepend=-2) == 1
    found = []
    for place in np.flatnonzero(by_sets | by_load):
        kind = "both" if by_sets[place] and by_load[place] else "load"
        kind = "sets" if not by_load[place] else kind
        week = int(trained[place])
        found.append(DeloadWeek(week, kind, float(sets_ratio[place]), float(load_ratio[place])))
    return tuple(found)


def merge_declared(
    detected: tuple[DeloadWeek, ...], declared_weeks: Ints
) -> tuple[DeloadWeek, ...]:
    """Declared deloads first; a detected one within a week of one of them gives way.

    A declared week that the rule found too keeps the rule's kind and ratios.
    """
    by_week = {deload.week: deload for deload in detected}
    declared = sorted({int(week) for week in np.asarray(declared_weeks).ravel()})
    merged = []
    for week in declared:
        known = by_week.get(week)
        kind = known.kind if known else "told"
        ratios = (known.sets_ratio, known.load_ratio) if known else (np.nan, np.nan)
        merged.append(DeloadWeek(week, kind, *ratios, evidence="told"))
    for deload in detected:
        if all(abs(deload.week - week) > 1 for week in declared):
            merged.append(deload)
    return tuple(sorted(merged, key=lambda deload: deload.week))


def _find_short_weeks(session_week: Ints, trained: Ints, n_weeks: int) -> Bools:
    """Trained weeks with clearly fewer sessions than the median of the ``RECENT_WEEKS`` before."""
    count = np.bincount(np.asarray(session_week, dtype=np.int64), minlength=n_weeks)[trained]
    recent = [np.median(count[max(0, at - RECENT_WEEKS) : at + 1]) for at in range(count.size)]
    return count < SHORT_WEEK * np.array(recent)


def _weekly_mean(session_week: Ints, values: Floats, n_weeks: int) -> Floats:
    """Mean over the attended sessions of each week; nan without any."""
    known = np.isfinite(values)
    week = np.asarray(session_week, dtype=np.int64)[known]
    count = np.bincount(week, minlength=n_weeks)
    total = np.bincount(week, weights=np.asarray(values)[known], minlength=n_weeks)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _find_low(values: Floats, ratio: float, recovered: float) -> tuple[Bools, Floats]:
    """Low weeks among the trained ones and every week's ratio to the recent median.

    The recent median leaves out weeks already found low. A run of low weeks counts when it is
    short and the next trained week is back above ``recovered``, or half way from the cut where
    that is less.
    """
    ratios, is_low = np.full(values.size, np.nan), np.zeros(values.size, dtype=bool)
    ordinary: list[float] = []
    for place, value in enumerate(values):
        recent = ordinary[-RECENT_WEEKS:]
        if np.isfinite(value) and len(recent) >= LEAST_RECENT:
            ratios[place] = value / float(np.median(recent))
            is_low[place] = ratios[place] <= ratio
        if np.isfinite(value) and not is_low[place]:
            ordinary.append(float(value))
        elif is_low[place] and is_low[max(0, place - LONGEST_WEEKS) : place + 1].sum() > 2:
            ordinary.append(float(value))  # lasting change: the recent median must follow it
    for start, stop in find_runs(is_low):
        after = ratios[stop] if stop < values.size else np.nan
        half_way = (1.0 + ratios[start:stop].max()) / 2.0
        if stop - start > LONGEST_WEEKS or not after >= min(recovered, half_way):
            is_low[start:stop] = False
    return is_low, ratios
