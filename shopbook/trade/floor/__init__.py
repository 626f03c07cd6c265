"""Time on the floor: clocks, day sheets, and what a stage waits for."""
