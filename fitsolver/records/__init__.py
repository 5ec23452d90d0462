"""Frozen records: what is read, what is decided, what is answered."""
