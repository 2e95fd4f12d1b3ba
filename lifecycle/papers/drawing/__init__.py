"""Plots, marks and numbered pictures, for papers and pages alike."""
