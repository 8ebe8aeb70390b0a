"""Strength from sets: repetition curve, level of a lift, index of a muscle, slopes and plateaus."""
