"""The page on the bench tablet, and the same verbs as a JSON API."""
