"""One file per bench test. A test is declared once; page, command, importer, help and belief take it from there."""
