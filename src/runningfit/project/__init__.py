"""Floor 4: settings, addresses and checks."""
