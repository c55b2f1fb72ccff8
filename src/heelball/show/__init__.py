"""Drawings, notes and letters: what the core found, in the words of a bench ledger."""
