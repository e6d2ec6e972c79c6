"""General-purpose ways of choosing the next batch, each as a competent user would set it up.

They import nothing of slake and see what slake sees of a bench: bounds, brief, grams, words of failure, readings.
"""
