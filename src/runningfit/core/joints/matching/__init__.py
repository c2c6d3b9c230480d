"""What goes with what: pairs, shims and weights matched so that no better matching exists."""
