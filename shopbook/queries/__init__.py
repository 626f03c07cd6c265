"""What the shop asks; never writes, and the number of statements does not depend on the number of rows."""
