"""The same job on boards that are not their nominal selves."""
