"""The whole job as one value: it calls what makes and what judges, and neither knows of it."""
