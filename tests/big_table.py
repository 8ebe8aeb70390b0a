"""A large table of sets in the layout of the shipped map ``set_rows``, from a seed."""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import polars as pl

FIRST_DAY = date(1950, 1, 2)
LIFTS = (
    *("Bench press", "Pull-up", "Squat", "Deadlift", "Overhead press", "Barbell row"),
    *("Cable lateral raise", "Leg press", "Romanian deadlift", "Barbell curl", "Triceps pushdown"),
)
SETS_OF_LIFT = 40  # so that ten million sets end before today
BLOCK_DAYS = 1_000


def write_big_table(path: Path, rows: int, seed: int = 5, note_length: int = 0) -> None:
    """Write ``rows`` sets, all eleven lifts a day, some of them drops of the set above.

    Parameters
    ----------
    note_length : characters of a remark that each row carries and no other has; 0 for none.
    """
    rng = np.random.default_rng(seed)
    a_day = len(LIFTS) * SETS_OF_LIFT
    with path.open("wb") as target:
        target.write(b"# an invented lifter, made to measure reading\n")
        for block in range(0, -(-rows // a_day), BLOCK_DAYS):
            place = np.arange(block * a_day, min((block + BLOCK_DAYS) * a_day, rows))
            frame = _draw(place, a_day, rng, note_length)
            frame.write_csv(target, include_header=block == 0)


def _draw(
    place: np.ndarray, a_day: int, rng: np.random.Generator, note_length: int
) -> pl.DataFrame:
    n = len(place)
    day, at = place // a_day, place % a_day
    number = at % SETS_OF_LIFT
    days = pl.Series([(FIRST_DAY + timedelta(int(one))).isoformat() for one in range(day[-1] + 1)])
    lift = pl.Series(LIFTS)[at // SETS_OF_LIFT]
    is_drop = number == SETS_OF_LIFT - 1
    is_parent = number == SETS_OF_LIFT - 2
    load = pl.Series(rng.integers(8, 80, n) * 2.5).cast(pl.String).str.strip_suffix(".0")
    reserve = pl.Series(rng.integers(0, 5, n).astype(str))
    note = np.char.zfill(place.astype(str), note_length) if note_length else np.full(n, "")
    frame = pl.DataFrame(
        {
            "Date": days[day],
            "Exercise": lift,
            "Set": np.where(is_drop, number, number + 1),
            "Load kg": load,
            "Reps": rng.integers(3, 15, n),
            "RIR": pl.select(pl.when(pl.Series(rng.random(n) < 0.8)).then(reserve)).to_series(),
            "Failure": np.where(rng.random(n) < 0.03, "yes", ""),
            "Warm-up": np.where(number == 0, "yes", ""),
            "Cluster": np.where(is_drop | is_parent, "A", ""),
            "Segment": np.where(is_drop, "2", np.where(is_parent, "1", "")),
            "Bench deg": "",
            "Set-up": "",
            "Note": note,
        }
    )
    return frame.with_columns(pl.col(pl.String).replace("", None))
