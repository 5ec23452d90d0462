"""Each fit alone: a case inside, a case outside, and rounding to the safe side."""
