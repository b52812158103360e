"""The film of marking: its contrast against bare metal, where it lies and how heavy."""
