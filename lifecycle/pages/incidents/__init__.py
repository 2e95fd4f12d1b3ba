"""Pages of incidents: the list, start, one incident with what was done."""
