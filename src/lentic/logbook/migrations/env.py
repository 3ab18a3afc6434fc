"""Runs the revisions on the connection that the store hands over, in its transaction."""

from alembic import context

from lentic.logbook.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
