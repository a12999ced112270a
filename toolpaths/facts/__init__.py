"""What is there before any program: board, cutters, machine, fixture, depths, woods, the part meant."""
