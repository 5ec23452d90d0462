"""Figures from published standards, handbooks and common practice, run as real jobs."""
