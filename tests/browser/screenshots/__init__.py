"""Pictures of every page and state, to look at: `python -m tests.browser.screenshots FOLDER`."""
