"""How strokes are carved with a V: along the middles of an area, as deep as it is wide there."""
