"""Open packages: a folder of plain text, tables, pictures and PDFs that needs no software."""
