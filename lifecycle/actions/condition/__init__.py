"""Every write of the condition subject, one file per deed."""
