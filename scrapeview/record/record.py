"""The shop's record: the one door to what is kept."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
from sqlalchemy import select

from scrapeview.errors import RecordError
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import (
    accepted_line,
    overview,
    passes,
    prints,
    schema,
    shop,
    shop_settings,
    stored_reading,
)
from scrapeview.record.entries import (
    FaceEntry,
    FacePlan,
    Kept,
    Machine,
    Part,
    PassEntry,
    PrintEntry,
    Scrape,
)
from scrapeview.record.judged import Judged
from scrapeview.record.photographs import sha256_of
from scrapeview.result import Reading


class Record(Judged):
    """The record of a shop; many threads and programs may use it at once.

    Every method raises RecordError, with one plain sentence, where something asked for is not
    there, a value cannot be taken, or the database does not answer; then nothing is changed.

    Attributes
    ----------
    home : Path
        Folder of the photographs, and of the SQLite file.
    place : str
        Where the record lives, in words, without any password.
    """

    def machines(self) -> tuple[Machine, ...]:
        """Return all machines by name."""
        with self.looking() as db:
            return shop.machines(db)

    def parts(self, machine_id: int) -> tuple[Part, ...]:
        """Return the parts of a machine by name."""
        with self.looking() as db:
            return shop.parts(db, machine_id)

    def faces(self) -> tuple[FaceEntry, ...]:
        """Return all faces by machine, part and name."""
        with self.looking() as db:
            return shop.faces(db)

    def face(self, face_id: int) -> FaceEntry:
        """Return one face."""
        with self.looking() as db:
            return shop.face(db, face_id)

    def add_machine(self, name: str, notes: str = "") -> Machine:
        """Add a machine; its name is its own."""
        with self.writing() as db:
            return shop.machine(db, shop.add_machine(db, name, notes))

    def add_part(self, machine_id: int, name: str) -> Part:
        """Add a part to a machine; its name is its own there."""
        with self.writing() as db:
            return shop.part(db, shop.add_part(db, machine_id, name))

    def add_face(self, part_id: int, plan: FacePlan) -> FaceEntry:
        """Add a face to a part; its name is its own there."""
        with self.writing() as db:
            return shop.face(db, shop.add_face(db, part_id, plan))

    def change_machine(self, machine_id: int, name: str, notes: str) -> Machine:
        """Rename a machine or change its notes."""
        with self.writing() as db:
            shop.change_machine(db, machine_id, name, notes)
            return shop.machine(db, machine_id)

    def change_part(self, part_id: int, name: str) -> Part:
        """Rename a part."""
        with self.writing() as db:
            shop.change_part(db, part_id, name)
            return shop.part(db, part_id)

    def change_face(self, face_id: int, plan: FacePlan) -> FaceEntry:
        """Change the plan of a face; readings there are stay as they were read."""
        with self.writing() as db:
            shop.change_face(db, face_id, plan)
            return shop.face(db, face_id)

    def remove_machine(self, machine_id: int) -> None:
        """Take a machine with all that hangs on it out; its photographs' files stay."""
        with self.writing() as db:
            shop.remove_machine(db, machine_id)

    def shop(self) -> pd.DataFrame:
        """Return where each face stands, one row a face: the columns of "faces", and trends."""
        with self.looking() as db:
            return overview.shop(db)

    def passes(self, face_id: int) -> tuple[PassEntry, ...]:
        """Return the passes of a face in order."""
        with self.looking() as db:
            return passes.passes(db, face_id)

    def next_pass_number(self, face_id: int) -> int:
        """Return the number the next new pass of a face gets."""
        with self.looking() as db:
            return passes.next_pass_number(db, face_id)

    def begin_pass(self, face_id: int, scrape: Scrape) -> PassEntry:
        """Add a pass that waits for its print; a face has one such pass at most."""
        with self.writing() as db:
            return passes.pass_entry(db, passes.begin_pass(db, face_id, scrape))

    def change_pass(self, pass_id: int, scrape: Scrape) -> PassEntry:
        """Change what was told of a pass."""
        with self.writing() as db:
            passes.change_pass(db, pass_id, scrape)
            return passes.pass_entry(db, pass_id)

    def keep_print(
        self,
        face_id: int,
        photos: Sequence[tuple[str, bytes]],
        reading: Reading,
        scrape: Scrape = Scrape(),  # noqa: B008 it is frozen
        *,
        placement: str | Placement = "",
        joined: Mapping[str, Any] | None = None,
        pass_number: int | None = None,
        again: bool = False,
    ) -> Kept:
        """Keep a print: its photographs, then all the rest at once or not at all.

        Parameters
        ----------
        face_id : int
        photos : sequence of (name, bytes)
            The reading is of one of them; of the first, the map, where it was joined.
        reading : Reading
        scrape : Scrape
            What was done before the print; if anything is told, it replaces what was told when
            the pass began.
        placement : str or Placement
            Where a shorter reference lay; a text is its name.
        joined : mapping, optional
            How the map was joined from the other photographs, as `scrapeview.joining` tells it.
        pass_number : int, optional
            Of a pass there is: another print of it. Else the pass that waits, else a new one.
        again : bool
            Keep it although the face has one of these photographs already.

        Raises
        ------
        RecordError
        """
        named = {sha256_of(photo): (name, photo) for name, photo in photos}
        _require_own(named, photos, reading)
        where = accepted_line.placement_of(placement)
        accepted_line.joined_of(joined, list(named))
        with self.looking() as db:
            shop.face(db, face_id)
            prints.require_new(db, face_id, () if again else named)
        for _, photo in named.values():
            self._photographs.keep(photo)
        prepared = stored_reading.prepare(reading)
        listed = [(sha256, name, len(photo)) for sha256, (name, photo) in named.items()]
        with self.writing() as db:
            shop.lock_face(db, face_id)
            prints.require_new(db, face_id, () if again else named)
            pass_id, number = passes.pass_for_print(db, face_id, scrape, pass_number)
            print_id = prints.add_print(db, pass_id, listed, where, joined)
            reading_id = prints.add_reading(db, print_id, prepared, prints.KEPT)
        return Kept(number, pass_id, print_id, reading_id)

    def change_placement(self, print_id: int, placement: str | Placement) -> PrintEntry:
        """Change where the reference lay, which was told wrongly; the face is judged again.

        Readings stay as they were read: `scrapeview.face_placement` reads the print again too.
        """
        with self.writing() as db:
            prints.change_placement(db, print_id, accepted_line.placement_of(placement))
            return prints.print_entry(db, print_id)

    def progress(self, face_id: int) -> pd.DataFrame:
        """Return how a face has come along, one row a print: the columns of "passes"."""
        with self.looking() as db:
            return overview.progress(db, face_id)

    def prints(self, face_id: int) -> tuple[PrintEntry, ...]:
        """Return the prints of a face in the order of their passes."""
        with self.looking() as db:
            return prints.prints(db, face_id)

    def print_entry(self, print_id: int) -> PrintEntry:
        """Return one print."""
        with self.looking() as db:
            return prints.print_entry(db, print_id)

    def reading(self, reading_id: int) -> Reading:
        """Return a reading as it was added, to the last bit."""
        with self.looking() as db:
            return stored_reading.reading(db, reading_id)

    def plane(self, reading_id: int) -> Plane:
        """Return how the photograph of a reading lay, without loading the reading."""
        with self.looking() as db:
            return stored_reading.plane(db, reading_id)

    def add_reading(self, print_id: int, reading: Reading, why: str) -> int:
        """Add a reading to a print as its current one; return its number."""
        prepared = stored_reading.prepare(reading)
        with self.writing() as db:
            return prints.add_reading(db, print_id, prepared, why)

    def choose_reading(self, print_id: int, reading_id: int, why: str) -> None:
        """Let another reading of a print be the current one."""
        with self.writing() as db:
            prints.choose_reading(db, print_id, reading_id, why)

    def history(self, print_id: int) -> pd.DataFrame:
        """Return which readings of a print were the current one, since when and why."""
        with self.looking() as db:
            return overview.history(db, print_id)

    def photo(self, sha256: str) -> bytes:
        """Return a photograph as it came."""
        return self._photographs.read(sha256)

    def photo_path(self, sha256: str) -> Path:
        """Return the file of a photograph."""
        return self._photographs.path_of(sha256)

    def photo_name(self, sha256: str) -> str:
        """Return what the file of a photograph was called when it came first."""
        kept = schema.photographs
        with self.looking() as db:
            name = db.scalar(select(kept.c.name).where(kept.c.sha256 == sha256))
        if name is None:
            raise RecordError("This photograph is not in the record: choose another one.")
        return str(name)

    def where_kept(self, sha256: str) -> tuple[str, ...]:
        """Return where a photograph is kept, such as "Mill, saddle: top way, pass 3"."""
        with self.looking() as db:
            return overview.where_kept(db, sha256)

    def setting(self, name: str, default: Any) -> Any:
        """Return a setting of the shop, or the default where it was never set."""
        with self.looking() as db:
            return shop_settings.setting(db, name, default)

    def set_setting(self, name: str, value: Any) -> None:
        """Set a setting of the shop to any value that JSON can hold."""
        with self.writing() as db:
            shop_settings.set_setting(db, name, value)


def _require_own(
    named: dict[str, Any], photos: Sequence[tuple[str, bytes]], reading: Reading
) -> None:
    if not photos:
        raise RecordError("A print needs at least one photograph: choose it first.")
    if len(named) < len(photos):
        raise RecordError("The same photograph was given twice: give each one once.")
    if reading.photo_sha256 not in named:
        raise RecordError("The reading is of another photograph than the print: read it again.")
