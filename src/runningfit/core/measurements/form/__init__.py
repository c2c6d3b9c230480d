"""The form of what was measured: circles, flatness, and what two-point diameters tell and hide."""
