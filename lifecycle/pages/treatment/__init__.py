"""Pages of treatment: propose, consent, work at the bench, report."""
