"""Nights and sessions: strength of a session against sleep, heart rate and body weight."""
