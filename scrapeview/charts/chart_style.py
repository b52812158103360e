"""How all charts look: colours, ground, fonts, hover and buttons, and a figure as a page of HTML.

The colours are those of M. Okabe and K. Ito, Color Universal Design (2008), which hold for
colour-blind eyes; the grounds are transparent and text is a grey that reads on white and on black.
"""

from typing import Any

import plotly.graph_objects as go

BLUE = "#0072B2"
ORANGE = "#E69F00"
GREEN = "#009E73"
VERMILION = "#D55E00"
PURPLE = "#CC79A7"
GREY = "#797e86"
"""4 to 1 and better on white and on Streamlit's dark ground alike."""
GRID = "rgba(128, 132, 140, 0.28)"
CLEAR = "rgba(0, 0, 0, 0)"
FONT = "'Source Sans', 'Source Sans Pro', 'Segoe UI', system-ui, sans-serif"
TEXT_PX = 13

_AXIS = {
    "gridcolor": GRID, "linecolor": GRID, "zerolinecolor": GRID, "tickcolor": GRID,
    "automargin": True, "title": {"standoff": 8, "font": {"size": TEXT_PX}},
    "exponentformat": "none",
}  # fmt: skip
_LAYOUT = {
    "paper_bgcolor": CLEAR,
    "plot_bgcolor": CLEAR,
    "font": {"family": FONT, "size": TEXT_PX, "color": GREY},
    "xaxis": _AXIS,
    "yaxis": _AXIS,
    "margin": {"l": 8, "r": 12, "t": 34, "b": 8},
    "hoverlabel": {
        "bgcolor": "#20242c", "bordercolor": GREY, "align": "left",
        "font": {"family": FONT, "size": TEXT_PX, "color": "#f4f5f7"},
    },
    "legend": {"orientation": "h", "x": 0, "y": 1.0, "yanchor": "bottom", "bgcolor": CLEAR},
    "modebar": {"bgcolor": CLEAR, "color": GREY, "activecolor": BLUE},
    # a finger that moves over a chart scrolls the page; the zoom button changes that
    "dragmode": False,
    "hovermode": "closest",
}  # fmt: skip
TEMPLATE = go.layout.Template(layout=_LAYOUT)


def styled(traces: list[dict[str, Any]], layout: dict[str, Any]) -> go.Figure:
    """Return a figure in the common look.

    Parameters
    ----------
    traces, layout : list of dict, dict
        As plotly describes them; what `layout` says wins over the common look.
    """
    return go.Figure(data=traces, layout={"template": TEMPLATE, **layout})


def chart_config(name: str) -> dict[str, Any]:
    """Return how a figure behaves where it is shown: its buttons, and PNG at double size.

    Parameters
    ----------
    name : str
        Of the picture's file, without ending.
    """
    return {
        "displaylogo": False,
        "displayModeBar": True,
        "responsive": True,
        "scrollZoom": False,
        "modeBarButtons": [["zoom2d", "resetScale2d", "toImage"]],
        "toImageButtonOptions": {"format": "png", "scale": 2, "filename": name},
    }


def figure_html(figure: go.Figure, name: str) -> str:
    """Return a figure as a page of HTML that opens anywhere, also without a network.

    Parameters
    ----------
    figure : Figure
    name : str
        Title of the page and name of the pictures saved from it.
    """
    page = str(figure.to_html(include_plotlyjs=True, config=chart_config(name)))
    # follows the reader's light or dark screen, on which the grey text reads alike
    head = f'<head><title>{name}</title><meta name="color-scheme" content="light dark">'
    return page.replace("<head>", head, 1)
