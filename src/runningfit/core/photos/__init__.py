"""Photos of hardware on a printed mat: from pixels to millimetres."""
