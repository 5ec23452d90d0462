"""The solver-free check of a plan: every rule and the objective, recomputed from the records.

One file a rule; each yields a sentence for everything it finds wrong. Nothing here knows
how the plan was found.
"""
