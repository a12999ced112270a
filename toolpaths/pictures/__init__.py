"""Pictures as a start: outlines of what a photograph or a scan shows, in mm."""
