"""Safety of the pages: who gets what, and what an odd or hostile request does."""
