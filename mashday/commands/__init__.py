"""The commands, a room for each kind; the command line loads the one it needs."""
