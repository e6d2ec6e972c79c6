"""Long work: one table, one worker process; progress, cancel, interrupted."""
