"""The words of a ledger's line stay in their row, however long they are in a language."""

from __future__ import annotations

import pytest

from app.figures import gallery
from app.figures.look import SIZES
from app.web.languages import LANGUAGES, RIGHT_TO_LEFT, catalogue
from app.words import Message
from tests.figures.classes import a_class, worked_out


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_no_words_lie_over_the_line_between_two_rows(language: str, size: str) -> None:
    def say(message: Message) -> str:
        return catalogue(language).gettext(message.template) % dict(message.values)

    result = worked_out(a_class(12))
    figure = gallery.build("ledger", result, say, size=size, right_to_left=language in RIGHT_TO_LEFT)
    figure.draw_without_rendering()
    (axes,) = figure.axes
    rows = [axes.transData.transform((0, row))[1] for row in (1, 2, 3)]
    for text in axes.texts:
        box = text.get_window_extent()
        crossed = [row for row in rows if box.y0 + 1 < row < box.y1 - 1]
        assert not crossed, text.get_text()
