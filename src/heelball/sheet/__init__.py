"""The printed true-scale sheet, and readings from a photograph of it."""
