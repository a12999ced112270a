"""What comes loose, and the tabs that hold."""
