"""What to know before relying on the figures, and for the hands: one text for the dashboard."""

import streamlit as st

CAUTIONS = """
* Scrapeview judges bearing: contact of one face with the reference it was printed against. It does
  not judge flatness, fitness or safety of a machine. Local rules and the machine maker's documents
  come first.
* Lift castings with rated gear, trial-lift a little, check, then hoist; never stand under a load.
* Scraper edges and scraped burrs cut. No cracked handles; stone only raised burrs and wipe the
  abrasive away.
* Solvents: mind the flash point, air the room, no flame. Marking compounds: read the sheet that
  comes with them; red lead is toxic and builds up in the body, so prefer lead-free marking.
* Epoxy sensitises skin for good: nitrile gloves, no bare skin, no sanding dust without extraction.
"""


def show_cautions() -> None:
    """Offer the cautions, folded."""
    with st.expander("Before you rely on it, and for your hands"):
        st.markdown(CAUTIONS)
