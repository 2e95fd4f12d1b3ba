"""Showrest: museum objects safely onto display and back to rest."""

import gc

# Nearly everything a process makes while it starts stays until its end, and a page makes few
# cycles: looking for garbage at Python's first 700 objects costs a tenth of each start.
gc.set_threshold(50_000, 20, 50)

__version__ = "0.1.0"
