"""Pages from the bucket at the door to the lot, its stock, and what a workshop packs from it."""
