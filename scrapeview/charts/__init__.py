"""Figures and overlays as objects, for whoever shows them."""
