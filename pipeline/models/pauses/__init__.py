"""Weeks of less and weeks of nothing: deloads, layoffs, and what followed them."""
