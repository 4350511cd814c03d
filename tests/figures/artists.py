"""What a figure has drawn, found by the names that its parts have."""

from __future__ import annotations

import numpy as np
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D


def drawn(figure: Figure, start: str) -> dict[str, Artist]:
    """The parts whose name begins so, by the rest of their name."""
    found = figure.findobj(lambda artist: str(artist.get_gid() or "").startswith(start))
    return {str(artist.get_gid()).removeprefix(start): artist for artist in found}


def centre(mark: Artist) -> tuple[float, float]:
    """Where a mark stands, in points from the lower left corner."""
    assert isinstance(mark, Line2D)
    x, y = mark.get_transform().transform(np.asarray(mark.get_xydata())[0])
    return float(x), float(y)
