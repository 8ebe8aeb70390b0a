"""Frames, pictures and tables of the page Priorities, a module a question."""
