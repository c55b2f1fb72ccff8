"""Gaussians: conditioning, and the probability of intervals and boxes."""
