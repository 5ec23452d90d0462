"""Form of a bore and expansion of alloys."""
