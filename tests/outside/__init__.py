"""Checks against data of others, run as programs: what they need is too large for every run."""
