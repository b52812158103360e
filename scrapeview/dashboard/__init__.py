"""Pages of the dashboard; they show what the other rooms compute."""
