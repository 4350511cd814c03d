"""A first practical by the hand: three questions, a made-up class that plays itself, then the real plan."""
