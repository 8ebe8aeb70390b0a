"""Invented lifters for the demo: their story, and their files as people keep them.

Nobody in here exists. A career comes from the simulator with a fixed seed, is told by dates
(``scenario.py``), written in four layouts with a few slips (``layouts.py``, ``slips.py``) and laid
out as a folder (``write_home.py``). No reader is used, so that reading it is a test of the reader.
"""
