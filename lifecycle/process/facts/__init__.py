"""What the process needs to know about a showing: frozen snapshots by subject, no database."""
