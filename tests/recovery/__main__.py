"""``make recovery``: every estimator on many simulated careers, each bar with its figure.

Two processes; each career is simulated once and handed to every ``measure_*`` module. The default
of 200 careers takes up to an hour on two cores, ``make recovery CAREERS=20`` says less. Ends with
one table of all bars in Markdown and exit code 1 when one is not met.
"""

import sys

from tests.recovery.run import run_all

CAREERS = 200

if __name__ == "__main__":
    asked = [int(value) for value in sys.argv[1:]]
    sys.exit(1 if run_all(*(asked or [CAREERS])) else 0)
