"""The demo bench shows what it says it shows; no other test reads it."""
