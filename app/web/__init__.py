"""Pages, by audience."""
