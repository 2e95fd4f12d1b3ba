"""From rows to words: what each paper is filled with when it is printed. Reads, never writes."""
