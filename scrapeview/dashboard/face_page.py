"""The page Face."""

from scrapeview.dashboard.shell import chosen_face, page, the_record


def face_page() -> None:
    """Show the page."""
    with page("Face"):
        chosen_face(the_record())
