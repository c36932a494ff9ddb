"""What is known about a student's documents."""
