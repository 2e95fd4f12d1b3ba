"""Tags and filters of the house: ``{% load look %}``."""
