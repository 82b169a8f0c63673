"""How a revision is run: on the connection handed in, within its transaction."""

from alembic import context

from rimwright.journal.tables import metadata


def run() -> None:
    """Run the revisions that Alembic asked for."""
    context.configure(
        connection=context.config.attributes["connection"],
        # Only for the names of keys and indices.
        target_metadata=metadata,
        # SQLite can undo changes of tables; it is not believed to by default.
        transactional_ddl=True,
        transaction_per_migration=False,
        # SQLite changes a column only by making the table anew.
        render_as_batch=True,
    )
    with context.begin_transaction():
        context.run_migrations()


# Not there where a tool only imports every module.
if hasattr(context, "config"):
    run()
