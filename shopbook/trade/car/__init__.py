"""What is said of a car, its panels and sides, what is hurt on it, and what is bought in for it."""
