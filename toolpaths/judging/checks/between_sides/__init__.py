"""What holds only between the programs of a job."""
