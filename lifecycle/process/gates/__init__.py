"""Gates: pure functions, each named as the wanted state of affairs, yielding what is missing."""
