"""Named errors: each says what is wrong with what, and what to do about it.

The library raises them; only the command line and the dashboard turn them into plain sentences.
"""


class ScrapeviewError(Exception):
    """Anything Scrapeview refuses; its text is a plain sentence for the person at the bench."""


class PhotoError(ScrapeviewError):
    """The photograph cannot be used: missing, empty, damaged, too large or of an unknown kind."""


class PlaneError(ScrapeviewError):
    """The picks do not fix the plane of the face: wrong order, in one line, outside the photo."""


class FaceError(ScrapeviewError):
    """The outline or the openings do not describe a face with any area."""


class SettingsError(ScrapeviewError):
    """A setting is out of its range or two settings contradict each other."""


class ReadingError(ScrapeviewError):
    """A stored reading cannot be understood."""


class OutputError(ScrapeviewError):
    """A file cannot be written where it was asked for."""


class CorrectionError(ScrapeviewError):
    """A correction made by hand cannot be applied: nothing lies there, or it is no correction."""


class RecordError(ScrapeviewError):
    """The shop's record cannot be opened, is newer than this version, or refuses what is asked."""


class ArchiveError(ScrapeviewError):
    """An archive is damaged, hostile, or does not fit the record; nothing was changed."""


class ServeError(ScrapeviewError):
    """The dashboard cannot be served: the port is taken, or the passphrase file is unusable."""
