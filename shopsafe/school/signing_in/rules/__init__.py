"""Rules of signing in, without Django: sign-in codes and check words."""
