"""Loads the demo museum: its records first, then every trip through the same actions people use."""

from lifecycle.actions.demo.loading import load_demo

__all__ = ["load_demo"]
