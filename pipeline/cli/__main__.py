"""``python -m pipeline.cli``: the same as the console script ``liftstrata``."""

from pipeline.cli import main

main()
