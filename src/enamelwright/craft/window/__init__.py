"""Work out one job: how hot and how long a firing of this piece takes in this kiln, on this support, with what band."""
