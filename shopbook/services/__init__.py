"""What the shop does; one function is one thing a person does. Never opens, commits or rolls back a transaction."""
