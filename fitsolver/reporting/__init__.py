"""Answers for people and programs: terminal text, JSON, CSV, pandas views. Nothing here prints."""
