"""Species figures, degree-days and development; pure functions of numbers."""
