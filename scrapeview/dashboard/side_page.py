"""The page Side by side."""

from scrapeview.dashboard.shell import chosen_face, page, the_record


def side_page() -> None:
    """Show the page."""
    with page("Side by side"):
        chosen_face(the_record())
