"""Many jobs, one shelf: who gets what."""
