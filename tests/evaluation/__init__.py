"""Tests of the simulation that `make evaluate` prints."""
