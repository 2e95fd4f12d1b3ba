"""Colour spots of an object: laid out, read again and again, brought in by file."""
