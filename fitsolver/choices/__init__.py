"""Every part and route as integers, with a verdict for each rule; failing choices are kept."""
