"""Ink: blocks drawn on A4 or US Letter with reportlab. The same words give the same bytes."""
