"""Reads about condition: known features, reports, comparison, dating of a change."""
