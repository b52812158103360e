"""Whether a face is done: criteria, zones, agreement of prints, and the outcome."""
