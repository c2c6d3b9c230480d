"""Treatments on the screen: side by side, with one tap to choose."""
