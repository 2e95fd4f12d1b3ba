"""Pages of condition: write, sign, read and compare reports; part A and part B."""
