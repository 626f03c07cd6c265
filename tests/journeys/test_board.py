"""A car is moved on the board by drag, by the arrow keys and by its presses alike; what that does is shown before it is saved."""
