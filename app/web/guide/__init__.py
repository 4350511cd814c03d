"""The guide inside the tool: its contents, its pages, and which section explains which page of the tool."""

from app.web.guide.pages import blueprint

__all__ = ["blueprint"]
