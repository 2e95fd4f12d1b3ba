"""How a day reads in the sentences of duties, reasons and messages: as on every page.

Written a floor below, since the sentences of light accounts write days too.
"""

from lifecycle.planning.day_words import day_words

__all__ = ["day_words"]
