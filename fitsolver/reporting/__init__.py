"""Answers put before people: terminal text, JSON, CSV, pandas views. Nothing here prints."""
