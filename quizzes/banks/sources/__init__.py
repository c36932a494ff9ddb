"""Where the rules and numbers of the banks come from: the list that comes with the starter banks."""
