"""The seal: which rows are sealed in which form, the chain of links, and the hook that writes them."""
