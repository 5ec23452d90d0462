"""From a selection to a plan for the shop: sizes, fits, order list, sizes and rebuilds left."""
