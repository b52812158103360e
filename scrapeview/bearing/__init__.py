"""Bearing: points, cells, bare patches and their uncertainty, from a contact mask."""
