"""From what was chosen to the plan a person can act on: sizes, fits, order list, what is left."""
