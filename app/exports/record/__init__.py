"""A practical's record: all that the tool keeps of it as one JSON document, to be read in again without loss.

The document's form is published (`static/formats/practical-1.schema.json`). No code or token by which anybody
could get in is part of it, and nothing about a phone.
"""
