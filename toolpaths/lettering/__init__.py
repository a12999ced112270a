"""Text as shapes: the outlines of a font's letters, or single strokes, straight or along a curve."""
