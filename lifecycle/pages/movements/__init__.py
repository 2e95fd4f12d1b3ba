"""Pages of movements: the list, one movement from plan to confirmed arrival."""
