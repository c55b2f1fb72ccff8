"""Records in and out as files: TOML, CSV and Parquet, each read back to the same bytes."""
