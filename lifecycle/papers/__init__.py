"""What leaves the printer: the words of a paper first, its ink second. Nothing here writes."""
