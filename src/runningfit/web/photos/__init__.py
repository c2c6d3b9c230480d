"""Pages of photos: snap now, name later."""
