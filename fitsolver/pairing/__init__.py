"""Tables of measured bores and measured pieces: read, paired, told, written; see docs/pair.md."""
