"""Why nothing fits, what would change that, and why a plan is as it is."""
