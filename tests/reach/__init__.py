"""Whether phones reach this server."""
