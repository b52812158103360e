"""Computed photographs of prints with exact truth; never used by the pipeline."""
