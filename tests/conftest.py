"""Settings of the test run that must stand before numpy is imported."""

import os

# The models solve many small systems: on shared cores more than one thread makes them slower.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Imported after the setting above, since its extras may import numpy.
from hypothesis import settings

# No timed assertions: a busy machine is no defect. Where hanging is the question the test says so.
settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")
