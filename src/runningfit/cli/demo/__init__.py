"""The invented demo: a launch engine of 1959, two donors, and the troubles planted in them."""
