"""Whether a measured value lies within its limits: inside, outside, or not proven."""
