"""Fit stiff, heavy boots to feet by heel-to-ball length."""

__version__ = "0.1.0"
