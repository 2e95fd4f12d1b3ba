"""Display: what is asked for, what hangs where, what is planned, how it ended."""

from lifecycle.queries.display.parts import on_object, on_showing

__all__ = ["on_object", "on_showing"]
