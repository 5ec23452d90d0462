"""Answers as tables for a terminal, JSON, CSV and pandas frames."""
