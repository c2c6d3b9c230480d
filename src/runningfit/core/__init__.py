"""Floor 0, pure: no Django, clock, network, database or logging."""
