"""The table of objects: its columns, its lines in words, and what it would change."""
