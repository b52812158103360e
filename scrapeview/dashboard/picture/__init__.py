"""A picture that is picked on: photographs to place a face by, faces with their layers."""

from scrapeview.dashboard.picture.component import (
    Picture,
    Places,
    Tool,
    events_of,
    pick_places,
    show_layers,
)
from scrapeview.dashboard.picture.events import Event

__all__ = ["Event", "Picture", "Places", "Tool", "events_of", "pick_places", "show_layers"]
