"""Alembic's entry: it always runs on the connection that `app.records.migrate` opened."""

from alembic import context

from app.records import models  # noqa: F401  (the tables register themselves)
from app.records.base import Base

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=Base.metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    compare_type=True,
)
context.run_migrations()
