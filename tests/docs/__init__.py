"""The documentation, run: commands, outputs, files and links on its pages."""
