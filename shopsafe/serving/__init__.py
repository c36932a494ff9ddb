"""How the program is served: the command that starts the server, and what stands between its sockets and our pages."""
