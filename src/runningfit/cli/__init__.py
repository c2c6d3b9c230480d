"""Floor 3: the command line; each room parses, calls, prints."""
