"""A proof of a program's safety that is small enough to be read in one sitting."""
