"""Who is signed in from which browser, and until when."""
