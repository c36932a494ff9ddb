"""The project, and the ground that every app is built on."""
