"""Plausible ranges of figures, and a sentence for each figure outside its range."""
