"""Benchmarks, each against a floor measured in the same run; started by hand, never by pytest."""
