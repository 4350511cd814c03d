"""Ink and paper of drawings and PDFs: the stylesheet's colours under the stylesheet's names."""

INK = "#1b222b"
INK_SOFT = "#4b5561"
RULE = "#cfc8b6"
SHEET = "#fffdf7"
