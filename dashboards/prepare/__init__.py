"""Frames for the charts, made from the tables of the book. Counts only; nothing is estimated."""
