"""Rules of print, without Django: legible sizes, names, and the plans of cards and charts."""
