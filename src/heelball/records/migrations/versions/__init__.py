"""One file a step, named for the schema it leads to."""
