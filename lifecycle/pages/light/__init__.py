"""Pages of light: accounts, readings, light events, air by hand, looks, lit hours, instruments."""
