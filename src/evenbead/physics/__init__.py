"""What nature does: pure functions on SI floats and arrays, each with its source."""
