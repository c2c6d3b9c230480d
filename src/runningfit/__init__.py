"""Running Fit: for the person who rebuilds old engines."""

__version__ = "0.1.0"
