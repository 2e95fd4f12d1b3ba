"""Showrest: museum objects safely onto display and back to rest."""
