"""Backups: make one while the site runs, prove it, keep enough of them, rebuild from one, move."""
