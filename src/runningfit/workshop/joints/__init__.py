"""Threaded joints of a job: what is known of them, and what they come to."""
