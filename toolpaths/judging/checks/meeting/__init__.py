"""What the cutter meets: wood in the way, hold-downs, edges."""
