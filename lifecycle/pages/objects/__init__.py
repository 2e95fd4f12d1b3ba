"""Pages of the objects: the list, one object, and the forms that keep its card."""
