"""The page: its parts, the whole of it in a real browser, its API against its description."""
