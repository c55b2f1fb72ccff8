"""Lasts: the foot each label is built for, and how a last runs beside its labels."""
