"""The project, and the ground every app stands on."""
