"""A judged take as text, as a table and as a page."""
