"""Where a face is heading: passes and hours still needed, and whether it has stalled."""
