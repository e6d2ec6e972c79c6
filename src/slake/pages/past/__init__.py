"""Pages on which a person's own past comes in, a file at a time or a whole bench, and how far long work is."""
