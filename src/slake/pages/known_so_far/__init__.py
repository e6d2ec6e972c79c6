"""What is known so far, to be seen: maps of the recipe space, curves, and how well the ranges kept their word."""
