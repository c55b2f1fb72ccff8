"""The house itself: what it is built from, how its rooms stand, what its files may say."""
