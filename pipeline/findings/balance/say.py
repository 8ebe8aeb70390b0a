"""Sentences about balance: two counts or two indexes, the own history, and no norm."""

from pipeline.findings.balance.sides import Pair
from pipeline.findings.say import say_number
from pipeline.models.balance.ratios import OwnHistory

NO_NORM = {
    "pull_push": (
        "At least as much pulling as pushing is common practice; no published norm was found."
    ),
}
# What the sets of a pair are: movements, or direct work alone, never a muscle's weekly sets.
COUNTED_SETS = {
    "pull_push": "Sets of rows and pulldowns to sets of presses",
    "rear_front": "Direct sets of the rear to direct sets of the front shoulder",
    "knee_hip": "Sets of squats, lunges, leg extensions to sets of hinges, thrusts, leg curls",
}
NO_PUBLISHED = "No published norm was found."
READS = {
    "higher": "above the spread of this lifter's own history",
    "lower": "below the spread of this lifter's own history",
    "usual": "as in this lifter's own history",
}


def say_sets(pair: Pair, own: OwnHistory) -> str:
    """Sets of the last quarter, by what they are."""
    counted = COUNTED_SETS[pair.pair_id]
    return (
        f"{counted}: {say_number(own.ratio, 2)} to one in the last quarter, "
        f"{READS[own.reads_as]} ({_usual(own)}). {NO_NORM.get(pair.pair_id, NO_PUBLISHED)}"
    )


def say_strength(pair: Pair, own: OwnHistory) -> str:
    """Strength of the last quarter against the own start: no common scale, so no side leads."""
    return (
        f"Strength against the own start, {pair.name}: {say_number(own.ratio, 2)} "
        f"({say_number(own.low, 2)} to {say_number(own.high, 2)}) in the last quarter, "
        f"{READS[own.reads_as]} ({_usual(own)}). One means as at the start, since the indexes have "
        "no common scale: it does not tell which side is stronger."
    )


def _usual(own: OwnHistory) -> str:
    return (
        f"middle {say_number(own.usual, 2)}, mostly {say_number(own.usual_low, 2)} to "
        f"{say_number(own.usual_high, 2)} over {own.quarters} quarters"
    )
