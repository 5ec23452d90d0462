"""The independent search that the solver is held against, and the jobs it is held against on."""
