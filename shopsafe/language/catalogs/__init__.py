"""The catalogs that translators work on: sentences collected from the sources, translations checked and compiled."""
