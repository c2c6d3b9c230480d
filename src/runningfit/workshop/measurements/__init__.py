"""What is measured: instruments, features, readings that are never edited, limits, and inspections."""
