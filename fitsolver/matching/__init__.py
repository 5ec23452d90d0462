"""Measured bores and measured pieces paired on whole numbers; see docs/pair.md."""
