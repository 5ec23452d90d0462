"""At the hone: a log of passes, what they remove, and how far the next ones may go."""
