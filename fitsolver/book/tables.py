"""The tables of the book, version 1.

The entry is the truth: its whole content as JSON. Every other column is derived from it, for
searching.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, MetaData, String, Table, Text

METADATA: Final = MetaData()

BOOK: Final = Table(
    "fitsolver_book",
    METADATA,
    Column("version", Integer, primary_key=True, autoincrement=False),
)
CYLINDER: Final = Table(
    "fitsolver_cylinder",
    METADATA,
    Column("marking", Text, primary_key=True),
    Column("family", Text),
)
ENTRY: Final = Table(
    "fitsolver_entry",
    METADATA,
    Column("key", String(32), primary_key=True),
    Column("kind", Text, nullable=False),
    Column("date", String(10), nullable=False),
    Column("job", String(32), ForeignKey("fitsolver_entry.key")),
    Column("number", Integer),
    Column("withdraws", String(32), ForeignKey("fitsolver_entry.key")),
    Column("content", Text, nullable=False),
    Index("fitsolver_entry_job", "job"),
    Index("fitsolver_entry_withdraws", "withdraws"),
)
LINE: Final = Table(
    "fitsolver_line",
    METADATA,
    Column("entry", String(32), ForeignKey("fitsolver_entry.key"), primary_key=True),
    Column("marking", Text, ForeignKey("fitsolver_cylinder.marking"), primary_key=True),
    Column("date", String(10), nullable=False),
    Column("smallest", BigInteger),
    Column("largest", BigInteger),
    Column("words", Text, nullable=False),
    Index("fitsolver_line_marking", "marking", "date"),
)
