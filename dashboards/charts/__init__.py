"""Chart functions: each takes frames and returns a chart, nothing else."""
