"""Feet: what was read, how far each reading can be trusted, and what it says of both feet."""
