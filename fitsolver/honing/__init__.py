"""At the hone: a log of passes, their removal, and the limit of the next pass."""
