"""The learning model sampled by another program: NumPyro's NUTS, in an environment of its own."""
