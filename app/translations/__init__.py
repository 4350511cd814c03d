"""Message catalogues, one folder a language, and the command that brings them up to date."""
