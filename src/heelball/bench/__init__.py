"""The bench: pages a fitter works at, and the same work as a JSON API."""
