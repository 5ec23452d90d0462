"""One file a rule: each posts its constraints on the model, in the order of `RULES`.

A rule is posted with `post(model)`; `solving/build.py` leaves out those that a search for
reasons looks away from.
"""
