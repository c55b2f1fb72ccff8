"""What the model gives on surveyed feet in simulated boots (MODEL 10), printed by `make evaluate`."""
