"""Plots, marks and numbered pictures: the same drawing for pages (SVG) and for papers (ink)."""
