"""The mathematics of light and time. Pure: no Django, no clock, no rows."""
