"""Rules of bank files, without Django: TOML and zip read and written, a file previewed."""
