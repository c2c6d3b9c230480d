"""Values with their uncertainty, the form of what was measured, and whether it conforms."""
