"""Bank files: a bank as TOML or zip, sent in, previewed and imported."""
