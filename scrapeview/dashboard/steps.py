"""A progress bar as a long task moves it."""

from collections.abc import Callable

from streamlit.delta_generator import DeltaGenerator


def steps_on(bar: DeltaGenerator) -> Callable[..., None]:
    """Return what a task calls with the steps done, the steps there are and what it does."""

    def show(done: int, of: int, what: str = "") -> None:
        share = min(max(done / of, 0.0), 1.0) if of else 1.0
        bar.progress(share, what or f"{done} of {of}")

    return show
