"""What was done: the append-only, hash-chained record of every safety act. Knows no person."""
