"""What a piece is: its kind, its thread, its finish, its condition, and how people write them."""
