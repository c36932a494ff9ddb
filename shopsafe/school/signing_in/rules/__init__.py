"""Rules of signing in, without Django: slip codes and check words."""
