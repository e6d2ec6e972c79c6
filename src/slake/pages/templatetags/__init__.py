"""How templates say numbers, ranges and times."""
