"""Work that goes outside: consignments, phone calls, counting back, and what is still open."""
