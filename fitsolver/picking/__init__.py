"""A job decided: solved, written out, checked. The only way a plan gets out."""
