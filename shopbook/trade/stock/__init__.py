"""What the shelf holds and is worth, and when more is ordered."""
