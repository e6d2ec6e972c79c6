"""Open tables of real mixtures replayed: half foretold from the other half, and rows drawn until a brief is met."""
