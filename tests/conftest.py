"""Settings of the test run that must stand before numpy is imported."""

import os

# The models solve many small systems: on shared cores more than one thread makes them slower.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
