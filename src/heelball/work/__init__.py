"""The use cases: the only room that opens files and calls the core."""
