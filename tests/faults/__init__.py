"""What must survive when the server is killed: tests and a command that kill a real one over and over."""
