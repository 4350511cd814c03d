"""What the server bears, as ratios: each figure beside that of a bare application on the same server."""
