"""Write the stylesheets that come from the tokens: `python -m app.look`."""

from app.look.stylesheet import stylesheets
from app.resources import static_dir

for name, text in stylesheets().items():
    (static_dir() / "css" / name).write_text(text, encoding="utf-8")
