"""Several photographs of one face: their common plane, and one map of it in mm."""
