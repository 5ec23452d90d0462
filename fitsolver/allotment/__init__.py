"""The shelf of a shop allotted to many jobs."""
