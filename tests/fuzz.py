"""``make fuzz``: the row equation on 20,000 mutated files, and texts of set notation, each read or
refused; prints the bar with its figure.

The same properties as in the tests, at many times their number of examples and another seed each
time; a failing example is printed and kept by Hypothesis for the next ordinary test run.
"""

import os
import subprocess
import sys
import time

FILES = 20_000
N_PROPERTIES = 8
PROPERTIES = (
    "tests/properties/test_row_equation.py",
    "tests/properties/test_standard_documents.py",
    "tests/properties/test_notation_roundtrip.py",
)


def main() -> int:
    """Run the properties with ``FILES`` examples between them."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "pytest", "-q", "-n", "2", *PROPERTIES]
    environment = os.environ | {"FUZZ_EXAMPLES": str(FILES // N_PROPERTIES)}
    code = subprocess.run(command, env=environment).returncode
    word = "holds " if code == 0 else "MISSED"
    took = time.perf_counter() - began
    print(f"{word}  no crash, no row lost in {FILES:,} mutated files, {took:.0f} s")
    return code


if __name__ == "__main__":
    sys.exit(main())
