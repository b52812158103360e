"""What to take on the next pass, what to leave, and with which stroke."""
