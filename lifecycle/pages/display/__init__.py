"""Pages of display: ask, answer, assess, install, turn, swap, take down, end."""
