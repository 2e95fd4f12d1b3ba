"""One showing walked by people with the real actions: one deed for each reason that is given.

Reports that only have to stand are written as signed rows; everything else goes the way a page
goes.
"""

from tests.builders.trip.base import BEGUN, Museum
from tests.builders.trip.walking import Trip

__all__ = ["BEGUN", "Museum", "Trip"]
