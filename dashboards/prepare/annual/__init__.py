"""The sheets of the page Year by year: one calendar year of one lifter each."""
