"""How a surface that follows a section from an edge inwards is roughed and finished."""
