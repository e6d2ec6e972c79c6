"""Between file and object: meshes and toolpaths read, replayed bead by bead, and judged before the print."""
