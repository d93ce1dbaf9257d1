"""Make the query tables again out of the facts."""

from typing import Any

from sqlalchemy import Connection, create_engine, delete, select

from shedstation.store import rows
from shedstation.store import tables as t
from shedstation.store.apply import Place, apply


def rebuild(conn: Connection) -> None:
    """Empty the query tables and apply every fact in order, inside the caller's transaction."""
    for table in t.QUERY_TABLES:
        conn.execute(delete(table))
    apply_all(conn, conn)


def apply_all(source: Connection, target: Connection) -> None:
    """Apply the facts of one database to the query tables of another or the same."""
    for row in source.execute(select(t.facts).order_by(t.facts.c.nr)).mappings().all():
        apply(target, rows.fact(dict(row)), Place(row["nr"], row["day"]))


def differing_tables(conn: Connection) -> list[str]:
    """Give the query tables that are not what the facts make of them."""
    fresh = create_engine("sqlite://")
    with fresh.begin() as made:
        t.METADATA.create_all(made)
        apply_all(conn, made)
        differing = [
            table.name for table in t.QUERY_TABLES if _content(conn, table) != _content(made, table)
        ]
    fresh.dispose()
    return differing


def _content(conn: Connection, table: Any) -> set[tuple[Any, ...]]:  # noqa: ANN401  # a Table
    return {tuple(row) for row in conn.execute(select(table)).all()}
