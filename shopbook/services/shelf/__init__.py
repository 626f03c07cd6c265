"""What is done on the shelf: stock moves, deliveries come, shelves are counted, orders go out."""
