"""What goes into an open package: which rows, in which words, with which units and meanings."""
