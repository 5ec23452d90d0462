"""fitsolver: part set and finish size for a worn cylinder, proven."""

__version__ = "0.1.0"
