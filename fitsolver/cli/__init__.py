"""The command line: one file a command. It alone prints."""
