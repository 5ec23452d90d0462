"""The registry of verbs: one record a verb, which the command line, library, page and API read."""
