"""The picture in the browser's tab: a print of a few points, drawn here.

A named icon would be fetched from the internet, and a shop's record asks nobody outside.
"""

from functools import cache

from PIL import Image, ImageDraw

_SIDE_PX = 64
_METAL = (214, 219, 224)
_MARKING = (0, 114, 178)
_POINTS_PX = ((14, 16, 8), (36, 12, 6), (51, 24, 7), (22, 38, 7), (43, 43, 9), (15, 53, 5))
_HOLLOW_PX = (43, 43, 3)


@cache
def tab_icon() -> Image.Image:
    """Return the icon, 64 x 64 px."""
    icon = Image.new("RGB", (_SIDE_PX, _SIDE_PX), _METAL)
    draw = ImageDraw.Draw(icon)
    for x, y, radius in _POINTS_PX:
        draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=_MARKING)
    x, y, radius = _HOLLOW_PX
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=_METAL)
    return icon
