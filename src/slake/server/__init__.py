"""The house around the pages: data folder, settings, doors, pairing, backups, errors, and the server itself."""
