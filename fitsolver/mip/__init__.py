"""Set packing with jobs, modes and slots, minimised level by level; arrays only.

docs/allot_model.md states the model in symbols, with the sources of every method.
"""
