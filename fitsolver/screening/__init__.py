"""Screening: the best fitting size for every bore of a table, by the million."""
