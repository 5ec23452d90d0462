"""One file a rule: a job that just keeps it, and one that just does not."""
