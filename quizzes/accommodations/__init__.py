"""What helps one student to read and answer a quiz."""
