"""The wood against the part meant."""
