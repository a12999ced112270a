"""What holds between the boards of a job: an insert that is cut from one, and its recess in another."""
