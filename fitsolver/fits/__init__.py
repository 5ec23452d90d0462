"""One module a fit: the arithmetic of each rule, in ticks, rounded to the safe side."""
