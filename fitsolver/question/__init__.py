"""Is the question whole? Every fit asked or left open by name, every window and pin of use."""
