"""Pictures and scans: bytes in, checked and cleaned bytes out. Writes no rows."""
