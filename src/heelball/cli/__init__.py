"""The commands: they take words in and hand lines out, and decide nothing."""
