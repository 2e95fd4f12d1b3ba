"""Pages of people and accounts, kept by the steward, and one's own page."""
