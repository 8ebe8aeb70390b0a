"""``make recovery``: every estimator on many simulated careers, each bar with its figure.

Two processes, one a model family; about an hour for the default of 60 careers on two cores.
``make recovery CAREERS=20`` is quicker and says less.
"""

import os
import subprocess
import sys

MODULES = ("measure_levels", "measure_volume", "measure_deload")


def main(careers: int) -> int:
    """Run the three measurements, two at a time; the number that failed."""
    environment = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    waiting, failed = list(MODULES), 0
    running: list[tuple[str, subprocess.Popen[str]]] = []
    while waiting or running:
        while waiting and len(running) < 2:
            name = waiting.pop(0)
            command = [sys.executable, "-m", f"tests.recovery.{name}", str(careers)]
            running.append(
                (
                    name,
                    subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment),
                )
            )
        name, process = running.pop(0)
        told, _ = process.communicate()
        print(f"== {name}, {careers} careers\n{told}", flush=True)
        failed += process.returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 60))
