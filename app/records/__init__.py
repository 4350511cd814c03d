"""What is kept: the tables, the way to them, and what is done to all of them together."""
