"""Settings of the whole shop: a name and any JSON value each."""

import json
from typing import Any

from sqlalchemy import Connection, select

from scrapeview.errors import RecordError
from scrapeview.record import accepted, schema
from scrapeview.record.database import insert_into


def setting(db: Connection, name: str, default: Any) -> Any:
    """Return a setting, or the default where it was never set."""
    kept = schema.shop_settings
    text = db.scalar(select(kept.c.value).where(kept.c.name == name))
    return default if text is None else json.loads(text)


def set_setting(db: Connection, name: str, value: Any) -> None:
    """Set a setting."""
    name = accepted.name_of("setting", name)
    try:
        text = json.dumps(value, allow_nan=False)
    except (TypeError, ValueError):
        raise RecordError(f"The setting '{name}' cannot be stored: give plain values.") from None
    setting = insert_into(db, schema.shop_settings).values(name=name, value=text)
    db.execute(setting.on_conflict_do_update(index_elements=["name"], set_={"value": text}))
