"""What everything stands on: exact lengths, errors, new files, work on several cores."""
