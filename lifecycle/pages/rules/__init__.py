"""Pages of the house rules and of the museum's own lists of words."""
