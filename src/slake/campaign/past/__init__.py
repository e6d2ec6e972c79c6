"""A table of somebody's own past: bytes to cells, headings to meanings, rows to batches. Runs and keeps nothing."""
