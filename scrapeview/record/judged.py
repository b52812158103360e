"""What a record keeps beside the prints for judging a face."""

from collections.abc import Sequence

from scrapeview.record import by_hand, shop, verdicts
from scrapeview.record.entries import (
    EyeCount,
    FilmCalibration,
    KeptVerdict,
    LineCheck,
    SwingTest,
)
from scrapeview.record.opened import Opened
from scrapeview.record.verdicts import PASSES_JUDGED

__all__ = ["PASSES_JUDGED", "Judged"]


class Judged(Opened):
    """An open record: what was counted, tested and checked at each face, and its verdict."""

    def eye_counts(self, face_id: int) -> tuple[EyeCount, ...]:
        """Return the squares of a face that were counted by eye, in the order of its prints."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.eye_counts(db, face_id)

    def add_eye_counts(self, face_id: int, counts: Sequence[EyeCount]) -> None:
        """Add squares that were counted by eye, all of them or none; without a time it is now."""
        with self.writing() as db:
            by_hand.add_eye_counts(db, face_id, counts)

    def remove_eye_count(self, face_id: int, count_id: int) -> None:
        """Take a square that was counted by eye out again, by its number."""
        with self.writing() as db:
            by_hand.remove_eye_count(db, face_id, count_id)

    def swing_tests(self, face_id: int) -> tuple[SwingTest, ...]:
        """Return the swing tests of a face in the order of its passes."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.swing_tests(db, face_id)

    def add_swing_test(self, face_id: int, test: SwingTest) -> None:
        """Add what a swing test said after a pass there is; without a time it is now."""
        with self.writing() as db:
            by_hand.add_swing_test(db, face_id, test)

    def remove_swing_test(self, face_id: int, test_id: int) -> None:
        """Take a swing test out again, by its number."""
        with self.writing() as db:
            by_hand.remove_swing_test(db, face_id, test_id)

    def film_calibrations(self, face_id: int) -> tuple[FilmCalibration, ...]:
        """Return what a film unit was found to be worth on a face, the latest last."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.film_calibrations(db, face_id)

    def add_film_calibration(self, face_id: int, calibration: FilmCalibration) -> None:
        """Add what a film unit is worth on a face; without a time it is now."""
        with self.writing() as db:
            by_hand.add_film_calibration(db, face_id, calibration)

    def remove_film_calibration(self, face_id: int, calibration_id: int) -> None:
        """Take a calibration out again, by its number."""
        with self.writing() as db:
            by_hand.remove_film_calibration(db, face_id, calibration_id)

    def line_checks(self, face_id: int) -> tuple[LineCheck, ...]:
        """Return what instruments showed on a face, in the order of its passes."""
        with self.looking() as db:
            shop.face(db, face_id)
            return by_hand.line_checks(db, face_id)

    def add_line_check(self, face_id: int, check: LineCheck) -> None:
        """Add what an instrument showed after a pass there is; without a time it is now."""
        with self.writing() as db:
            by_hand.add_line_check(db, face_id, check)

    def remove_line_check(self, face_id: int, check_id: int) -> None:
        """Take a check with an instrument out again, by its number."""
        with self.writing() as db:
            by_hand.remove_line_check(db, face_id, check_id)

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
