"""What is asked about the shelf: materials and their stock, lots, orders, what is spoken for, what to order."""
