"""Which stage when: the work of one side in order."""
