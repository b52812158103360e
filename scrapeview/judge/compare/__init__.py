"""Prints of one face laid over each other: what stayed, went and came, and what chance gives."""
