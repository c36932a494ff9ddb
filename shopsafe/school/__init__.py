"""Who is here: schools, shops, terms, classes, people, sign-in, rosters, and who may do what."""
