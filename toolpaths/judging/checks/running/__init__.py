"""How a program is run: its form, its modes, spindle and machine."""
