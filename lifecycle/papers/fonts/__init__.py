"""Openly licensed fonts from packages, and text set with them in any script."""
