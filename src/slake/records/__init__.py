"""What is kept: Django models, constraints, migrations; beside them values.py, rows to values and back."""
