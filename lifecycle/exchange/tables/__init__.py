"""Tables as bytes and as typed rows: CSV and XLSX, read with care and written so that they stay."""
