"""The drying plan: asked, drawn, and said in a table."""
