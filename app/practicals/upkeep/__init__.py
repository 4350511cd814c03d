"""What is done to an installation's records as a whole: going back to a backup, and backups by the clock."""
