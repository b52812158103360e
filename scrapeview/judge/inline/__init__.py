"""Whether the stretches of a long face lie in one line, and two ways in one plane: estimates."""
