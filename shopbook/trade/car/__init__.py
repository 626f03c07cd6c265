"""What is said of a car, its panels and sides, its damage, and what is bought in for it."""
