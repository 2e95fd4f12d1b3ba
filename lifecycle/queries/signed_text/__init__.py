"""The words of signed records: plain UTF-8 text in a fixed order, and its SHA-256."""
