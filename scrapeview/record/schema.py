"""The tables of the record as queries see them; `migrations` makes them."""

import math
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    Double,
    ForeignKey,
    LargeBinary,
    MetaData,
    Table,
    Text,
    TypeDecorator,
)

from scrapeview import columns
from scrapeview.record.summary import SUMMARY
from scrapeview.targets import ASKED


class Real(TypeDecorator[float]):
    """A number that may be infinite; not a number is kept as NULL, which SQLite makes of it."""

    impl = Double
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> float | None:  # noqa: ARG002
        """Return what is stored."""
        return None if value is None or math.isnan(value) else float(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> float:  # noqa: ARG002
        """Return the number that was stored."""
        return math.nan if value is None else float(value)

    def coerce_compared_value(self, op: Any, value: Any) -> Any:  # noqa: ARG002
        """Compare as plain numbers."""
        return self.impl_instance


def _measured(described: columns.Column) -> Column[Any]:
    """Return the database column of a column of COLUMNS."""
    kind = {"float64": Real, "bool": Boolean, "str": Text}.get(described.dtype, BigInteger)
    return Column(described.name, kind)


def _key(name: str, *refers: ForeignKey) -> Column[int]:
    return Column(name, BigInteger, *refers, primary_key=True)


def _text(*names: str) -> list[Column[str]]:
    return [Column(name, Text, nullable=False) for name in names]


def _refers(to: str) -> Column[int]:
    return Column(to.split(".")[1], BigInteger, ForeignKey(to), nullable=False)


def _numbers(*names: str) -> list[Column[float]]:
    return [Column(name, Double, nullable=False) for name in names]


METADATA = MetaData()
TARGETS = {asked.name: f"target_{asked.name}" for asked in ASKED}
"""Column of a face for each value a target can ask for; NULL where it does not."""
_FIRST_TARGETS = ("contact_least_percent", "contact_most_percent", "ppsi_least")
"""Those that faces had from the beginning, in their order."""
PLACED = ("placement", "placement_start_mm", "placement_length_mm", "placement_side")
"""Columns of a print that say where the reference lay."""

migrations = Table(
    "migrations", METADATA, _key("number"), *_text("name", "applied_at_utc")
)  # fmt: skip
machines = Table("machines", METADATA, _key("machine_id"), *_text("name", "notes"))
parts = Table("parts", METADATA, _key("part_id"), _refers("machines.machine_id"), *_text("name"))
faces = Table(
    "faces",
    METADATA,
    _key("face_id"),
    _refers("parts.part_id"),
    *_text("name", "role", "shape"),
    *_numbers("width_mm", "height_mm"),
    *_text("regions_mm", "openings_mm", "target_name"),
    *(Column(TARGETS[name], Double) for name in _FIRST_TARGETS),
    *_text("target_source", "reference", "marking", "units", "settings", "notes"),
    *(Column(TARGETS[name], Double) for name in TARGETS if name not in _FIRST_TARGETS),
    *_text("target_origins", "reference_grade"),
    *_numbers("reference_length_mm", "reference_width_mm"),
    Column("reference_own_um", Double),
)
passes = Table(
    "passes",
    METADATA,
    _key("pass_id"),
    _refers("faces.face_id"),
    Column("number", BigInteger, nullable=False),
    *_text("begun_at_utc", "who", "scraping"),
    Column("metal_um", Double),
    Column("hours", Double),
    *_text("notes"),
)
photographs = Table(
    "photographs",
    METADATA,
    Column("sha256", Text, primary_key=True),
    *_text("name"),
    Column("size_bytes", BigInteger, nullable=False),
    *_text("added_at_utc"),
)
prints = Table(
    "prints",
    METADATA,
    _key("print_id"),
    _refers("passes.pass_id"),
    *_text("placement", "kept_at_utc"),
    Column("placement_start_mm", Double),
    Column("placement_length_mm", Double),
    *_text("placement_side", "joined"),
)
print_photographs = Table(
    "print_photographs",
    METADATA,
    _key("print_id", ForeignKey("prints.print_id")),
    _key("position"),
    Column("sha256", Text, ForeignKey("photographs.sha256"), nullable=False),
)
readings = Table(
    "readings",
    METADATA,
    _key("reading_id"),
    _refers("prints.print_id"),
    Column("photo_sha256", Text, ForeignKey("photographs.sha256"), nullable=False),
    Column("taken_at", Text),
    *_text("read_at_utc", "version"),
    *(_measured(column) for column in SUMMARY),
)
reading_documents = Table(
    "reading_documents",
    METADATA,
    _key("reading_id", ForeignKey("readings.reading_id")),
    *_text("document", "plane"),
    Column("mask_height_px", BigInteger, nullable=False),
    Column("mask_width_px", BigInteger, nullable=False),
    Column("mask", LargeBinary, nullable=False),
)
points, cells = (
    Table(
        name,
        METADATA,
        _key("reading_id", ForeignKey("readings.reading_id")),
        _key("number"),
        *(_measured(column) for column in columns.columns_of(name)),
    )
    for name in ("points", "cells")
)
choices = Table(
    "choices",
    METADATA,
    _key("choice_id"),
    _refers("prints.print_id"),
    _refers("readings.reading_id"),
    *_text("why", "chosen_at_utc"),
)
shop_settings = Table(
    "shop_settings", METADATA, Column("name", Text, primary_key=True), *_text("value")
)  # fmt: skip
eye_counts = Table(
    "eye_counts",
    METADATA,
    _key("eye_count_id"),
    _refers("prints.print_id"),
    _refers("readings.reading_id"),
    *_numbers("x_mm", "y_mm", "side_mm"),
    Column("by_eye", BigInteger, nullable=False),
    Column("by_tool", BigInteger, nullable=False),
    *_text("who", "counted_at_utc"),
)
swing_tests = Table(
    "swing_tests",
    METADATA,
    _key("swing_test_id"),
    _refers("passes.pass_id"),
    *_text("result"),
    Column("pivot_percent", Double),
    *_text("who", "notes", "made_at_utc"),
)
film_calibrations = Table(
    "film_calibrations",
    METADATA,
    _key("film_calibration_id"),
    _refers("faces.face_id"),
    *_numbers("um", "low_um", "high_um"),
    *_text("how"),
    Column("pass_number", BigInteger),
    *_text("notes", "made_at_utc"),
)
line_checks = Table(
    "line_checks",
    METADATA,
    _key("line_check_id"),
    _refers("passes.pass_id"),
    *_text("what", "between_what"),
    *_numbers("value_um"),
    Column("error_um", Double),
    *_text("instrument", "who", "notes", "made_at_utc"),
)
kept_verdicts = Table(
    "kept_verdicts",
    METADATA,
    _key("face_id", ForeignKey("faces.face_id")),
    *_text("judged_from", "outcome", "reason", "judged_at_utc"),
)
