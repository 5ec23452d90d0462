"""Speed and memory, as ratios between two things measured side by side."""
