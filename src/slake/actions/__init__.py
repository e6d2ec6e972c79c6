"""One function per thing a person does: the only way to change a record, the same for page, command and importer."""
