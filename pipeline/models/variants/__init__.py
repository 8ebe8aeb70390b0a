"""One movement in several set-ups: what strength of one carried over to another."""
