"""Whether a reference rocked while it was rubbed: contact at both its ends beyond one plane's."""

from collections.abc import Sequence

import numpy as np

from scrapeview.judge.inline.blocks import Blocks, Values
from scrapeview.judge.inline.chains import Stretch
from scrapeview.judge.inline.heights import TEXTURE
from scrapeview.judge.inline.stitched import Laid, fit

LEVEL = 0.98
"""Of a two-sided interval: at the risk of one in a hundred on the side that counts."""
LEAST_HEIGHT = 0.25
"""Film units at the ends, against the middle, that a rock must come to."""
MORE_CONTACT = 4.0
"""Percent points of contact by which it must exceed what the other placements have: two ways of
lying mark more than one does, where a hollow face marks as much as a straight one."""


def rocks(
    blocks: Blocks, design: Values, laid: Laid, stretches: Sequence[Stretch]
) -> tuple[str, ...]:
    """Return the names of the placements whose reference seems to have rocked about its middle.

    A reference that rocks is now one plane, now another; the film goes over wherever either came
    near, so that the face seems to rise towards both ends, by as much a millimetre on either side.
    A hollow stretch seems to do so too; but it carries no more than the load, where a rocking
    reference carries it twice.

    Parameters
    ----------
    blocks : Blocks
    design : (n, k) float64
        Of the planes.
    laid : Laid
    stretches : sequence of Stretch
        One a placement of the design.
    """
    contact = [float(blocks.share[blocks.placement == number].mean()) for number in laid.placements]
    more = [
        100 * (here - max(contact[max(0, i - 1) : i] + contact[i + 1 : i + 2])) > MORE_CONTACT
        for i, here in enumerate(contact)
    ]
    if not any(more):
        return ()
    arms = [
        np.abs(blocks.x_mm - one.middle_mm) / one.half_mm * (blocks.placement == number)
        for number, one in zip(laid.placements, stretches, strict=True)
    ]
    # in line as far as this goes: bends at the joints would take the place of a rock
    straight = design[:, 3 * len(laid.joints_mm) :]
    found = fit(blocks, np.column_stack((straight, *arms)))
    names = []
    for i, one in enumerate(stretches):
        form = np.zeros(straight.shape[1] + len(arms) + TEXTURE)
        form[straight.shape[1] + i] = 1
        value, low, _ = found.interval(form, LEVEL)
        if more[i] and low > 0 and value > LEAST_HEIGHT:
            names.append(one.name)
    return tuple(names)
