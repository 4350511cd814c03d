"""What is kept: models, engine and queries."""
