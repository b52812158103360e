"""Whether the stretches of a long face lie in one line, and two ways in one plane: estimates."""

from scrapeview.judge.inline.in_line import compare_overlaps, in_line

__all__ = ["compare_overlaps", "in_line"]
