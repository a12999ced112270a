"""The plane, in shapely terms: shapes come in by one door, are moved, offset and fitted with arcs."""
