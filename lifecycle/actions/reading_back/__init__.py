"""From a filled sheet into the record: what was written by hand, field by field."""
