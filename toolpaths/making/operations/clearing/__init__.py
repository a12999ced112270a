"""How an area is cleared, layer by layer: loops, the courses in which they are cut, and their motion."""
