"""Display: ask, answer, assess, install, turn, swap, take down, withdraw, take over, go home."""
