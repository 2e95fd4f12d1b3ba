"""Showrest: museum objects safely onto display and back to rest."""

__version__ = "0.1.0"
