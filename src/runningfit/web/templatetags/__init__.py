"""Tags that draw the parts of the bench book."""
