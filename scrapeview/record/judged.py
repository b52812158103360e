"""What a record keeps beside the prints for judging a face."""

from collections.abc import Sequence

from scrapeview.record import by_hand, shop, verdicts
from scrapeview.record.entries import EyeCount, KeptVerdict, SwingTest
from scrapeview.record.opened import Opened
from scrapeview.record.verdicts import PASSES_JUDGED

__all__ = ["PASSES_JUDGED", "Judged"]


class Judged(Opened):
    """An open record: counts by eye, swing tests, and the verdict kept of each face."""

    def eye_counts(self, face_id: int) -> tuple[EyeCount, ...]:
        """Return the squares of a face that were counted by eye, in the order of its prints."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.eye_counts(db, face_id)

    def add_eye_counts(self, face_id: int, counts: Sequence[EyeCount]) -> None:
        """Add squares that were counted by eye, all of them or none; without a time it is now."""
        with self.writing() as db:
            by_hand.add_eye_counts(db, face_id, counts)

    def swing_tests(self, face_id: int) -> tuple[SwingTest, ...]:
        """Return the swing tests of a face in the order of its passes."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.swing_tests(db, face_id)

    def add_swing_test(self, face_id: int, test: SwingTest) -> None:
        """Add what a swing test said after a pass there is; without a time it is now."""
        with self.writing() as db:
            by_hand.add_swing_test(db, face_id, test)

    def kept_verdicts(self) -> dict[int, KeptVerdict]:
        """Return the verdict kept of each face that has one, stale or not, by its number."""
        with self.looking() as db:
            return verdicts.kept_verdicts(db)

    def keep_verdict(self, face_id: int, verdict: KeptVerdict) -> None:
        """Keep the verdict of a face in place of an earlier one; without a time it is now."""
        with self.writing() as db:
            verdicts.keep_verdict(db, face_id, verdict)

    def judged_from(self, face_id: int) -> str:
        """Return the fingerprint of all that a verdict on a face rests on.

        It changes with the current readings of the last four passes that have a print, and with
        the target, outlines, openings and settings of the face; not with names and notes.
        """
        with self.looking() as db:
            return verdicts.judged_from(db, face_id)

    def all_judged_from(self) -> dict[int, str]:
        """Return the fingerprints of all faces that have a print by their numbers."""
        with self.looking() as db:
            return verdicts.all_judged_from(db)
