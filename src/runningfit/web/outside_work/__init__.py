"""Pages of outside work: consignments, calls, counting back."""
