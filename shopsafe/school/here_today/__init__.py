"""Who is here today: taken by class, for plans, rotations and the floor. Not the school's attendance register."""
