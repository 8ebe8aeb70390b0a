"""Notes in plain text or Markdown: lines, dates, names and sets. See ``read.draft_notes``."""
