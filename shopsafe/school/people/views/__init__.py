"""The pages of classes, and of one student of a class."""
