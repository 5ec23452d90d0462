"""Measurement: the form of a bore, and how materials grow."""
