"""What happened here: two batches side by side, trends, my own repeatability, stiffness over water and gum."""
