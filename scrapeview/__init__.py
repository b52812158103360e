"""Contact percentage and points per square inch from photographs of bearing prints."""
