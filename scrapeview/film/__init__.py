"""The film of marking: its contrast against bare metal, where it lies and how heavy."""

from scrapeview.film.film import Film, read_film
from scrapeview.film.heaviness import Heaviness
from scrapeview.film.markings import MARKINGS
from scrapeview.film.separability import Separability

__all__ = ["MARKINGS", "Film", "Heaviness", "Separability", "read_film"]
