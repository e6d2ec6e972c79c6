"""Campaigns of slake and of general-purpose peers on families of made-up wastes: `python -m benchmarks.campaigns`."""
