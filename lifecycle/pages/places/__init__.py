"""Pages of the places: the tree, one place, and the forms that keep them."""
