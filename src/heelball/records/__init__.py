"""The fitter's records: what is kept of wearers, lasts and pairs, on SQLite or PostgreSQL."""
