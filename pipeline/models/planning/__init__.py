"""A week to train by: sets and lifts that expect most progress within the lifter's limits."""
