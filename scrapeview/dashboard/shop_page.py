"""The page Shop: machines, parts and faces with where each stands."""

from scrapeview.dashboard.shell import offer_start, page, the_record


def shop_page() -> None:
    """Show the page."""
    with page("Shop"):
        offer_start(the_record())
