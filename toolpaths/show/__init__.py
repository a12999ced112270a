"""What people look at, drawn from the job: the sheet for the bench, and pictures."""
