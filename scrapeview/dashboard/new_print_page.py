"""The page New print."""

from scrapeview.dashboard.shell import chosen_face, page, the_record


def new_print_page() -> None:
    """Show the page."""
    with page("New print"):
        chosen_face(the_record())
