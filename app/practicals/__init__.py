"""The use cases, one transaction each."""
