"""The judge room's pages: every threaded joint, what is known of it, what it comes to, what was decided."""
