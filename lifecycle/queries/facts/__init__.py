"""Facts of one showing or a whole exhibition, in a fixed number of queries."""
