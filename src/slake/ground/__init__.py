"""What every room stands on: numbers, units, evidence, problems. Knows nothing about paste."""
