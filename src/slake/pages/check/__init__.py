"""Before the print: a file sent, checked by the worker, and what came of it."""
