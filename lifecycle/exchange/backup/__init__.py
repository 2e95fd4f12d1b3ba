"""The format of a backup: tables as lines of text, files as they are, one list of checksums."""
