"""Photographs of the real PDF, taken by the tests: ``take(seed)``, with the truth beside them."""
