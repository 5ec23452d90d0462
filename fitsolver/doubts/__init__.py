"""What a figure should look like, and a sentence for each one that does not."""
