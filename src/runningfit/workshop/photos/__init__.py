"""Photos: taken in, turned upright, stripped of place and device data, and kept with their originals."""
