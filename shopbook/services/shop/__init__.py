"""What is done to the shop itself: acts and their keys, people and devices, rates and settings, the first run."""
