"""One function a verb, on records; `files` takes paths."""
